import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useParams } from 'react-router';
import type { Agreement, Party } from '../api/shapes';
import { ChangesSection } from '../audit/changes-section';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { TitledTable } from '../parts/titled-table';
import { useOperator } from '../session/operator';
import { OpenButton } from '../set-up/parts';
import { agreementsWithQuery, openWithQuery } from '../set-up/queries';
import { partyQuery } from '../sites/queries';
import { words } from '../words/words';
import { EraseParty } from './erase-party';
import { ChangeParty } from './party-forms';

const text = words.setUp.parties;

/** `parties/:id`: what was agreed with somebody who has shares, and what is open with them. */
export function PartyPage() {
  const { partyId = '' } = useParams();
  const { api, may, to } = useOperator();
  const [isChanging, setChanging] = useState(false);
  const allowed = may('party.read');
  const question = useQuery({ ...partyQuery(api, partyId), enabled: allowed });
  if (!allowed) return <Denied title={text.title} />;
  const party = question.data;
  return (
    <Page title={party?.name ?? text.title} lead={party === undefined ? undefined : leadOf(party)}>
      <Answer question={question} lines={8}>
        {(found) => (
          <>
            <div className="row">
              {may('party.change') ? <OpenButton about={found.name} onClick={() => setChanging(true)}>{words.setUp.change}</OpenButton> : null}
              <Link to={to('parties')}>{text.all}</Link>
              {may('payment-run.read') ? <Link to={to('payment-runs/accounts')}>{text.accounts}</Link> : null}
            </div>
            {may('agreement.read') ? <Agreements partyId={found.id} /> : null}
            {may('open-item.read') ? <OpenItems partyId={found.id} /> : null}
            {may('party.erase') ? <EraseParty party={found} /> : null}
            <ChangesSection thingId={found.id} />
            {isChanging ? <ChangeParty party={found} onClose={() => setChanging(false)} /> : null}
          </>
        )}
      </Answer>
    </Page>
  );
}

function leadOf({ code, address, email, locale: language }: Party): string {
  return [code, ...address, `${words.setUp.language}: ${new Intl.DisplayNames(locale, { type: 'language' }).of(language) ?? language}`, ...(email === null ? [] : [text.emailIs(email)])].join(', ');
}

function Agreements({ partyId }: { readonly partyId: string }) {
  const { api, may, to } = useOperator();
  const question = useQuery(agreementsWithQuery(api, partyId));
  const holds = ({ startedOn, endedOn }: Agreement): string => (endedOn === null ? text.from(formatDay(startedOn, locale)) : text.fromUntil(formatDay(startedOn, locale), formatDay(endedOn, locale)));
  return (
    <Answer question={question} lines={3}>
      {(agreements) => (
        <TitledTable
          id="agreements" title={text.agreements} none={text.noAgreements} columns={[words.site, text.agreement, text.holds, ...(may('site-account.read') ? [text.account] : [])]}
          rows={agreements.map((agreement) => (
            <tr key={agreement.id}>
              <th scope="row">
                <Link to={to(`sites/${agreement.siteId}`)}>{agreement.siteName}</Link> <span className="code small">{agreement.siteCode}</span>
              </th>
              <td>{agreement.code}</td>
              <td>{holds(agreement)}</td>
              {may('site-account.read') ? (
                <td>
                  <Link to={to(`sites/${agreement.siteId}/account`)}>{words.siteAccount.link}</Link>
                </td>
              ) : null}
            </tr>
          ))}
        />
      )}
    </Answer>
  );
}

/** What is not paid yet, either way. */
function OpenItems({ partyId }: { readonly partyId: string }) {
  const { api, to } = useOperator();
  const question = useQuery(openWithQuery(api, partyId));
  return (
    <Answer question={question} lines={3}>
      {(items) => (
        <TitledTable
          id="open-items" title={text.openItems} none={text.noOpenItems} columns={[words.site, text.statement, text.datedOn, text.open]} figures={[text.open]}
          rows={items.map((item) => (
            <tr key={item.id}>
              <th scope="row">
                <Link to={to(`settlements/${item.settlementId}`)}>{item.siteName}</Link>
              </th>
              <td>{item.number}</td>
              <td>{formatDay(item.datedOn, locale)}</td>
              <td className="figure">
                <Amount money={item.open} alone />
              </td>
            </tr>
          ))}
        />
      )}
    </Answer>
  );
}
