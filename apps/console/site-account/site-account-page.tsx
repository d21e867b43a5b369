import { useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import { useParams, useSearchParams } from 'react-router';
import type { PartyAccount } from '../api/shapes';
import { isDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney, isNegative, isZero, negated } from '../format/money';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Download } from '../parts/download';
import { Field } from '../parts/field';
import { Page } from '../parts/page';
import { OpenItems } from '../payments/open-items';
import { Payments } from '../payments/payments';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { Ageing } from './ageing';
import { Entries } from './entries';
import { MadeOf } from './made-of';
import { siteAccountQuery } from './queries';
import styles from './site-account.module.css';

/** `sites/:id/account`: what is owed between operator and site at the end of a day, how it came about and how old it is. */
export function SiteAccountPage() {
  const { api, may } = useOperator();
  const { siteId = '' } = useParams();
  const [parameters] = useSearchParams();
  const asked = parameters.get('on') ?? '';
  const on = isDay(asked) ? asked : null;
  const allowed = may('site-account.read');
  const question = useQuery({ ...siteAccountQuery(api, { siteId, on }), enabled: allowed });
  if (!allowed) return <Denied title={words.siteAccount.title} />;
  const { data } = question;
  // The site's own day, where the address names none.
  const shownOn = on ?? data?.on;
  return (
    <Page title={data === undefined ? words.siteAccount.title : words.siteAccount.of(data.siteName)} lead={words.siteAccount.lead}>
      {/* Beside the answer: another day is another question, and the field must not go from under who types in it. */}
      {shownOn === undefined ? null : <Day key={siteId} siteId={siteId} on={shownOn} />}
      <Answer question={question} lines={10}>
        {(account) => (
          <>
            {account.accounts.length === 0 ? <Blank title={words.siteAccount.none} /> : account.accounts.map((each) => <OneAccount key={`${each.agreementId} ${each.partyId}`} siteId={account.siteId} earlier={on !== null} account={each} />)}
          </>
        )}
      </Answer>
    </Page>
  );
}

/** The day stands in the address, so that it can be sent to a colleague. A browser's picker says nothing while a day is half typed. */
function Day({ siteId, on }: { readonly siteId: string; readonly on: string }) {
  const { api } = useOperator();
  const [, setParameters] = useSearchParams();
  const id = useId();
  return (
    <div className="form">
      <Field id={id} type="date" label={words.siteAccount.on} defaultValue={on} onValue={(value) => (isDay(value) ? setParameters({ on: value }, { replace: true }) : undefined)} />
      <Download file={() => api.siteAccountFile({ siteId, on })} />
    </div>
  );
}

function OneAccount({ siteId, account, earlier }: { readonly siteId: string; readonly account: PartyAccount; readonly earlier: boolean }) {
  const { partyName, agreementCode, agreementId, partyId } = account;
  const headingId = `account-${agreementId}-${partyId}`;
  const name = words.siteAccount.with(partyName, agreementCode);
  return (
    <section className={`section ${styles.account}`} aria-labelledby={headingId}>
      <h2 id={headingId}>{name}</h2>
      <p className="lead">{balanceInWords(account)}</p>
      <MadeOf account={account} name={name} />
      <Ageing account={account} name={name} />
      <OpenItems siteId={siteId} account={account} earlier={earlier} />
      <Payments siteId={siteId} account={account} />
      <Entries account={account} name={name} />
    </section>
  );
}

function balanceInWords({ closing, partyName }: PartyAccount): string {
  if (isZero(closing)) return words.siteAccount.even;
  return isNegative(closing)
    ? words.siteAccount.owed(partyName, formatMoney(negated(closing), locale))
    : words.siteAccount.owes(partyName, formatMoney(closing, locale));
}
