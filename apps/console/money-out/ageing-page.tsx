import { useQuery } from '@tanstack/react-query';
import { useId } from 'react';
import { Link } from 'react-router';
import type { AgedAccount, Ageing } from '../api/shapes';
import { dayOf, isDay } from '../format/day';
import { isZero } from '../format/money';
import { useAddressParameters } from '../parts/address-parameters';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Download } from '../parts/download';
import { Field } from '../parts/field';
import { Page } from '../parts/page';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { ageingQuery } from './queries';
import styles from './money-out.module.css';

const text = words.moneyOut.ageing;
const sides = ['toPayee', 'fromPayee'] as const;
type Side = (typeof sides)[number];
type Sums = Ageing['totals'][number];

/** `payment-runs/ageing`: what is owed either way at all sites, by age. The day stands in the address. */
export function AgeingPage() {
  const { api, may } = useOperator();
  const id = useId();
  const [parameters, change] = useAddressParameters();
  const asked = parameters.get('on') ?? '';
  const on = isDay(asked) ? asked : dayOf(new Date());
  const allowed = may('open-item.read');
  const question = useQuery({ ...ageingQuery(api, on), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  return (
    <Page title={text.title} lead={text.lead} actions={<Download file={() => api.ageingFile(on)} />}>
      <div className="form">
        {/* A browser's picker says nothing while a day is half typed. */}
        <Field id={id} type="date" label={words.siteAccount.on} defaultValue={on} onValue={(value) => (isDay(value) ? change({ on: value }) : undefined)} />
      </div>
      <Answer question={question} lines={10}>
        {({ totals, accounts, hasMore }) =>
          totals.length === 0 ? (
            <Blank title={text.none} />
          ) : (
            <>
              {hasMore ? <p className="notice">{text.more}</p> : null}
              {sides.flatMap((side) => totals.map((sums) => (isZero(sums[side]) ? null : <Owed key={`${side} ${sums.currency}`} side={side} sums={sums} accounts={accounts} />)))}
            </>
          )
        }
      </Answer>
    </Page>
  );
}

/** One direction in one currency: the sums first, then each account that has some of it, the oldest first. */
function Owed({ side, sums, accounts }: { readonly side: Side; readonly sums: Sums; readonly accounts: readonly AgedAccount[] }) {
  const { may, to } = useOperator();
  const title = text[side](sums.currency);
  const own = accounts.filter((account) => account.currency === sums.currency && !isZero(account[side]));
  return (
    <section className="section" aria-label={title}>
      <h2>{title}</h2>
      <Wide title={title}>
        <table className={styles.aged}>
          <caption className="visually-hidden">{title}</caption>
          <thead>
            <tr>
              <th scope="col">{words.site}</th>
              <th scope="col" className="figure">
                {text.together}
              </th>
              {sums.ageing.map(({ fromDays, toDays }) => (
                <th key={fromDays} scope="col" className="figure">
                  {text.days(words.siteAccount.ageing.days(fromDays, toDays))}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            <tr>
              <th scope="row">
                {text.all}
                <Ages side={side} of={sums} />
              </th>
              <Figures side={side} of={sums} />
            </tr>
            {own.map((account) => (
              <tr key={`${account.agreementId} ${account.partyId}`}>
                <th scope="row">
                  {may('site-account.read') ? <Link to={to(`sites/${account.siteId}/account`)}>{account.siteName}</Link> : account.siteName} <span className="code small">{account.siteCode}</span>
                  <div className="soft small">{account.partyName}</div>
                  <Ages side={side} of={account} />
                </th>
                <Figures side={side} of={account} />
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
    </section>
  );
}

/** On a phone the ages stand in the first column: as columns they would lie beyond the edge. */
function Ages({ side, of }: { readonly side: Side; readonly of: Sums }) {
  return (
    <div className={`${styles.ages ?? ''} soft small`}>
      {of.ageing.map((bucket) =>
        isZero(bucket[side]) ? null : (
          <div key={bucket.fromDays}>
            {text.days(words.siteAccount.ageing.days(bucket.fromDays, bucket.toDays))}: <Amount money={bucket[side]} />
          </div>
        ),
      )}
    </div>
  );
}

function Figures({ side, of }: { readonly side: Side; readonly of: Sums }) {
  return (
    <>
      <td className="figure">
        <strong>
          <Amount money={of[side]} />
        </strong>
      </td>
      {of.ageing.map((bucket) => (
        <td key={bucket.fromDays} className="figure">
          {isZero(bucket[side]) ? null : <Amount money={bucket[side]} />}
        </td>
      ))}
    </>
  );
}
