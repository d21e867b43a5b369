import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { Link, useParams } from 'react-router';
import { CollectionTable } from '../collections/collection-table';
import { pathOfCollections } from '../collections/filter';
import { collectionsQuery } from '../collections/queries';
import { formatDay, formatPeriod } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { StateMark } from '../parts/state-mark';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { AdvanceSection } from './advance-section';
import { AgreementSection } from './agreement-section';
import { machinesAtQuery, settlementsOfQuery, siteQuery } from './queries';

/** `sites/:id`: what stands there, what was agreed, what was collected and settled. */
export function SitePage() {
  const { siteId = '' } = useParams();
  const { api, may, to } = useOperator();
  const allowed = may('site.read');
  const question = useQuery({ ...siteQuery(api, siteId), enabled: allowed });
  if (!allowed) return <Denied title={words.sites.title} />;
  const site = question.data;
  return (
    <Page
      title={site?.name ?? words.sites.title}
      lead={site === undefined ? undefined : [site.code, ...site.address].join(', ')}
      actions={
        <>
          {may('site-account.read') ? <Link to={to(`sites/${siteId}/account`)} className="button">{words.siteAccount.link}</Link> : null}
          {may('key-site.read') ? <Link to={to(`keys/sites/${siteId}`)} className="button">{words.keySetUp.sites.link}</Link> : null}
        </>
      }
    >
      <Answer question={question} lines={8}>
        {(found) => (
          <>
            {may('agreement.read') ? <AgreementSection siteId={siteId} /> : null}
            {may('machine.read') ? <MachineSection siteId={siteId} /> : null}
            {may('settlement.read') ? <SettlementSection siteId={siteId} /> : null}
            {may('advance.read') ? <AdvanceSection siteId={siteId} currency={found.currency} /> : null}
            {may('collection.read') ? <CollectionSection siteId={siteId} /> : null}
          </>
        )}
      </Answer>
    </Page>
  );
}

interface SectionProps {
  readonly siteId: string;
}

function MachineSection({ siteId }: SectionProps) {
  const { api } = useOperator();
  const question = useQuery(machinesAtQuery(api, siteId));
  return (
    <section className="section" aria-labelledby="machines">
      <h2 id="machines">{words.sites.machines}</h2>
      <Answer question={question} lines={4}>
        {({ items }) =>
          items.length === 0 ? (
            <Blank title={words.sites.noMachines} />
          ) : (
            <table>
              <caption className="visually-hidden">{words.sites.machines}</caption>
              <thead>
                <tr>
                  <th scope="col">{words.machine}</th>
                  <th scope="col">{words.sites.kind}</th>
                  <th scope="col">{words.sites.here}</th>
                </tr>
              </thead>
              <tbody>
                {items.map((each) => (
                  <tr key={each.id}>
                    <th scope="row">{each.tag}</th>
                    <td>{words.machineKind(each.kind)}</td>
                    <td>{each.placement === null ? '' : formatDay(each.placement.placedOn, locale)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          )
        }
      </Answer>
    </section>
  );
}

function SettlementSection({ siteId }: SectionProps) {
  const { api, to } = useOperator();
  const question = useQuery(settlementsOfQuery(api, siteId));
  return (
    <section className="section" aria-labelledby="settlements">
      <h2 id="settlements">{words.sites.settlements}</h2>
      <Answer question={question} lines={4}>
        {({ items }) =>
          items.length === 0 ? (
            <Blank title={words.sites.noSettlements} />
          ) : (
            <table>
              <caption className="visually-hidden">{words.sites.settlements}</caption>
              <thead>
                <tr>
                  <th scope="col">{words.period}</th>
                  <th scope="col">{words.state}</th>
                  <th scope="col" className="figure">
                    {words.monthEnd.siteShare}
                  </th>
                  <th scope="col" className="figure">
                    {words.monthEnd.payable}
                  </th>
                </tr>
              </thead>
              <tbody>
                {items.map((each) => (
                  <tr key={each.id}>
                    <th scope="row">
                      <Link to={to(`settlements/${each.id}`)}>{formatPeriod(each, locale)}</Link>
                    </th>
                    <td>
                      <StateMark state={each.state} />
                      {each.reversed ? <div className="small soft">{words.settlement.reversed}</div> : null}
                    </td>
                    <td className="figure">
                      <Amount money={each.siteShare} />
                    </td>
                    <td className="figure">
                      <Amount money={each.payable} />
                    </td>
                  </tr>
                ))}
              </tbody>
            </table>
          )
        }
      </Answer>
    </section>
  );
}

const shownCollections = 8;

function CollectionSection({ siteId }: SectionProps) {
  const { api, to } = useOperator();
  const question = useInfiniteQuery(collectionsQuery(api, { siteId }));
  const latest = question.data?.pages[0]?.items.slice(0, shownCollections);
  return (
    <section className="section" aria-labelledby="collections">
      <h2 id="collections">{words.sites.collections}</h2>
      <Answer question={{ ...question, data: latest }} lines={4}>
        {(found) =>
          found.length === 0 ? (
            <Blank title={words.sites.noCollections} />
          ) : (
            <div className="stack">
              <CollectionTable collections={found} caption={words.sites.collections} />
              <p>
                <Link to={to(pathOfCollections({ siteId }))}>{words.sites.allCollections}</Link>
              </p>
            </div>
          )
        }
      </Answer>
    </section>
  );
}
