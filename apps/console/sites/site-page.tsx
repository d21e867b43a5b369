import { useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useParams } from 'react-router';
import { ChangesSection } from '../audit/changes-section';
import type { Site } from '../api/shapes';
import { CollectionTable } from '../collections/collection-table';
import { pathOfCollections } from '../collections/filter';
import { collectionsQuery } from '../collections/queries';
import { formatDay, formatPeriodAlone } from '../format/day';
import { locale } from '../format/locale';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { StateMark } from '../parts/state-mark';
import { Wide } from '../parts/wide';
import { useOperator } from '../session/operator';
import { NewMachine } from '../machines/machine-forms';
import { OpenButton } from '../set-up/parts';
import { words } from '../words/words';
import { AdvanceSection } from './advance-section';
import { AgreementSection } from './agreement-section';
import { machinesAtQuery, settlementsOfQuery, siteQuery } from './queries';
import { ChangeSite } from './site-forms';
import { TakingsChart } from './takings-chart';

/** `sites/:id`: what stands there, what was agreed, what was collected and settled. */
export function SitePage() {
  const { siteId = '' } = useParams();
  const { api, may } = useOperator();
  const allowed = may('site.read');
  const question = useQuery({ ...siteQuery(api, siteId), enabled: allowed });
  if (!allowed) return <Denied title={words.sites.title} />;
  const site = question.data;
  return (
    <Page title={site?.name ?? words.sites.title} lead={site === undefined ? undefined : leadOf(site)}>
      <Answer question={question} lines={8}>
        {(found) => (
          <>
            <Ways site={found} />
            {may('agreement.read') ? <AgreementSection siteId={siteId} /> : null}
            {may('machine.read') ? <MachineSection siteId={siteId} /> : null}
            {may('settlement.read') ? <SettlementSection siteId={siteId} /> : null}
            {may('advance.read') ? <AdvanceSection siteId={siteId} currency={found.currency} /> : null}
            {may('collection.read') ? <CollectionSection siteId={siteId} /> : null}
            <ChangesSection thingId={siteId} />
          </>
        )}
      </Answer>
    </Page>
  );
}

function leadOf({ code, address, closedOn }: Site): string {
  return [code, ...address, ...(closedOn === null ? [] : [`${words.setUp.sites.closedOn} ${formatDay(closedOn, locale)}`])].join(', ');
}

/** To what else is known of the site. */
function Ways({ site }: { readonly site: Site }) {
  const { may, to } = useOperator();
  const [isChanging, setChanging] = useState(false);
  return (
    <div className="row no-print">
      {may('site.change') ? <OpenButton about={site.name} onClick={() => setChanging(true)}>{words.setUp.change}</OpenButton> : null}
      <Link to={to('sites')}>{words.setUp.sites.all}</Link>
      {may('collection.create') && may('person.read') ? <Link to={to(`collections/enter?site=${site.id}`)}>{words.setUp.sites.enter}</Link> : null}
      {may('site-account.read') ? <Link to={to(`sites/${site.id}/account`)}>{words.siteAccount.link}</Link> : null}
      {may('cashless.read') ? <Link to={to(`collections/cards?site=${site.id}`)}>{words.besideCounts.cards.title}</Link> : null}
      {may('break-in.read') ? <Link to={to(`collections/break-ins?site=${site.id}`)}>{words.besideCounts.breakIns.title}</Link> : null}
      {may('key-site.read') ? <Link to={to(`keys/sites/${site.id}`)}>{words.keySetUp.sites.link}</Link> : null}
      {may('variance-report.read') ? <Link to={to(`variances?by=machine&site=${site.id}`)}>{words.setUp.sites.variances}</Link> : null}
      {may('tax-area.read') ? <Link to={to(`set-up/tax-areas/${site.taxAreaId}`)}>{words.setUp.sites.taxArea}</Link> : null}
      {isChanging ? <ChangeSite site={site} onClose={() => setChanging(false)} /> : null}
    </div>
  );
}

interface SectionProps {
  readonly siteId: string;
}

function MachineSection({ siteId }: SectionProps) {
  const { api, may, to } = useOperator();
  const [isAdding, setAdding] = useState(false);
  const question = useQuery(machinesAtQuery(api, siteId));
  return (
    <section className="section" aria-labelledby="machines">
      <h2 id="machines">{words.sites.machines}</h2>
      <Answer question={question} lines={4}>
        {(items) =>
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
                    <th scope="row">
                      <Link to={to(`machines/${each.id}`)}>{each.tag}</Link>
                    </th>
                    <td>{words.machineKind(each.kind)}</td>
                    <td>{each.placement === null ? '' : formatDay(each.placement.placedOn, locale)}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          )
        }
      </Answer>
      {may('machine.create') ? (
        <div>
          <OpenButton onClick={() => setAdding(true)}>{words.machines.add}</OpenButton>
        </div>
      ) : null}
      {isAdding ? <NewMachine siteId={siteId} onClose={() => setAdding(false)} /> : null}
    </section>
  );
}

function SettlementSection({ siteId }: SectionProps) {
  const { api, to } = useOperator();
  const question = useInfiniteQuery(settlementsOfQuery(api, siteId));
  const settlements = question.data?.pages.flatMap((page) => page.items);
  return (
    <section className="section" aria-labelledby="settlements">
      <h2 id="settlements">{words.sites.settlements}</h2>
      <Answer question={{ ...question, data: settlements }} lines={4}>
        {(items) =>
          items.length === 0 ? (
            <Blank title={words.sites.noSettlements} />
          ) : (
            <>
              <TakingsChart settlements={question.data?.pages[0]?.items ?? []} />
              <Wide title={words.sites.settlements}>
                <table>
                  <caption className="visually-hidden">{words.sites.settlements}</caption>
                  <thead>
                    <tr>
                      <th scope="col">{words.period}</th>
                      <th scope="col">{words.state}</th>
                      <th scope="col" className="figure">
                        {words.sites.takings}
                      </th>
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
                          <Link to={to(`settlements/${each.id}`)}>{formatPeriodAlone(each, locale)}</Link>
                        </th>
                        <td>
                          <StateMark state={each.state} />
                          {each.reversed ? <div className="small soft">{words.settlement.reversed}</div> : null}
                        </td>
                        {each.takings === null || each.siteShare === null || each.payable === null ? (
                          <td colSpan={3} className="small soft">{words.monthEnd.beingCounted}</td>
                        ) : (
                          [each.takings, each.siteShare, each.payable].map((money, index) => (
                            <td key={index} className="figure">
                              <Amount money={money} />
                            </td>
                          ))
                        )}
                      </tr>
                    ))}
                  </tbody>
                </table>
              </Wide>
              <More question={question} />
            </>
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
