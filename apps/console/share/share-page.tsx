import { queryOptions, useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useParams } from 'react-router';
import type { OperatorApi } from '../api/operator-api';
import type { SiteView } from '../api/shapes';
import { collectionsQuery } from '../collections/queries';
import { formatDay, formatInstant, formatPeriod, formatPeriodAlone, formatPeriodShort } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney, isZero } from '../format/money';
import { ToConfirmNotice } from '../keys/own/to-confirm-notice';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { StatementLink } from '../parts/statement-link';
import { OwnRefundClaims } from '../refund-claims/own-claims';
import { useOperator } from '../session/operator';
import { AgreementSection } from '../sites/agreement-section';
import { words } from '../words/words';
import styles from './share.module.css';

export const siteViewQuery = (api: OperatorApi) =>
  queryOptions({ queryKey: ['site-view'], queryFn: ({ signal }) => api.siteView(signal) });

type OwnSite = SiteView['sites'][number];

/** `share`: for whom the machines stand at: what is mine so far, what it was before, and the statements. */
export function SharePage() {
  const { api, membership } = useOperator();
  const allowed = membership.role === 'site-manager';
  const question = useQuery({ ...siteViewQuery(api), enabled: allowed });
  const { siteId } = useParams();
  if (!allowed) return <Denied title={words.share.title} />;
  const sites = question.data?.sites ?? [];
  const chosen = sites.find((each) => each.siteId === siteId) ?? sites[0];
  return (
    <Page title={chosen?.siteName ?? words.share.title}>
      <Answer question={question} lines={6}>
        {() =>
          chosen === undefined ? (
            <Blank title={words.share.noSites} />
          ) : (
            <>
              <ToConfirmNotice />
              {sites.length > 1 ? <SiteChoice sites={sites} chosen={chosen} /> : null}
              <SoFar site={chosen} />
              <Statements key={`statements ${chosen.siteId}`} site={chosen} />
              <OwnRefundClaims key={`slips ${chosen.siteId}`} siteId={chosen.siteId} />
              <Visits key={chosen.siteId} siteId={chosen.siteId} />
              <AgreementSection key={`agreement ${chosen.siteId}`} siteId={chosen.siteId} />
            </>
          )
        }
      </Answer>
    </Page>
  );
}

function SiteChoice({ sites, chosen }: { readonly sites: readonly OwnSite[]; readonly chosen: OwnSite }) {
  const { to } = useOperator();
  return (
    <nav aria-label={words.share.sites} className={styles.sites}>
      {sites.map(({ siteId, siteName }) => (
        <Link key={siteId} to={to(`share/${siteId}`)} className="button button-small" aria-current={siteId === chosen.siteId ? 'page' : undefined}>
          {siteName}
        </Link>
      ))}
    </nav>
  );
}

function SoFar({ site }: { readonly site: OwnSite }) {
  const { soFar } = site;
  if (soFar === null) return <Blank title={words.share.nothingYet} />;
  const period = formatPeriodShort(soFar, locale);
  return (
    <section className={styles.soFar} aria-labelledby="so-far">
      <h2 id="so-far">{words.share.soFar(period)}</h2>
      <p className={styles.figure}><Amount money={soFar.siteShare} alone /></p>
      <p className="soft">
        {words.share.from(formatMoney(soFar.takings, locale), soFar.collectedUntil === null ? null : formatDay(soFar.collectedUntil, locale))}
      </p>
      <p className="soft small">
        {words.share.notFinal} <a href="#agreement">{words.share.how}</a>
      </p>
    </section>
  );
}

/** More of them would put what follows out of sight on a phone. */
const lastStatements = 6;

function Statements({ site }: { readonly site: OwnSite }) {
  const { to, may } = useOperator();
  const [isWhole, setWhole] = useState(false);
  const shown = isWhole ? site.settlements : site.settlements.slice(0, lastStatements);
  return (
    <section className="section" aria-labelledby="statements">
      <h2 id="statements">{words.share.statements}</h2>
      {site.settlements.length === 0 ? null : <p className="soft">{words.share.statementsLead}</p>}
      {site.settlements.length === 0 ? (
        <Blank title={words.share.noStatements} />
      ) : (
        <ul className={styles.statements}>
          {shown.map((each) => (
            <li key={each.id}>
              <h3>
                <Link to={to(`settlements/${each.id}`)}>{formatPeriodAlone(each, locale)}</Link>
                {each.isNew ? <> <span className={styles.new}>{words.share.isNew}</span></> : null}
              </h3>
              <span className={styles.paid}>
                <Amount money={each.payable} alone />
              </span>
              <span className="soft small">{each.number === null ? '' : words.settlement.number(each.number)}</span>
              <Paid payment={each.payment} />
              <span className={styles.get}>
                {each.statementAvailable ? (
                  <StatementLink settlementId={each.id} about={formatPeriod(each, locale)} />
                ) : (
                  <span className="soft small">{words.statement.inPreparation}</span>
                )}
              </span>
              {each.question === null ? null : <Asked settlement={each.id} question={each.question} />}
            </li>
          ))}
        </ul>
      )}
      {shown.length === site.settlements.length ? null : (
        <div>
          <button type="button" className="button" onClick={() => setWhole(true)}>
            {words.more}
          </button>
        </div>
      )}
      {site.settlements.length === 0 ? null : (
        <p>
          <a href="/verifier.html">{words.signature.check}</a>
        </p>
      )}
      {may('site-account.read') ? (
        <p>
          <Link to={to(`sites/${site.siteId}/account`)}>{words.share.account}</Link>
        </p>
      ) : null}
    </section>
  );
}

/** How far a statement is paid, and what is still to come of it. */
function Paid({ payment: { state, toPay, toReceive } }: { readonly payment: OwnSite['settlements'][number]['payment'] }) {
  const open = [isZero(toPay) ? null : words.share.toCome(formatMoney(toPay, locale)), isZero(toReceive) ? null : words.share.owed(formatMoney(toReceive, locale))];
  return <span className={`small ${styles.isPaid ?? ''} ${state === 'paid' ? 'soft' : ''}`}>{[words.share.payment[state], ...open].filter((each) => each !== null).join(', ')}</span>;
}

/** Whether the office has answered what was asked about a statement; the answer stands there. */
function Asked({ settlement, question: { state, at } }: { readonly settlement: string; readonly question: NonNullable<OwnSite['settlements'][number]['question']> }) {
  const { to } = useOperator();
  return (
    <Link className={`small ${styles.asked ?? ''}`} to={to(`settlements/${settlement}`)}>
      {words.share.question[state](formatInstant(at, locale))}
    </Link>
  );
}

/** As many as a phone shows without looking for them. */
const lastVisits = 5;

/** What was counted, given back to players and handed over at the last visits; each opens to its boxes and slips. */
function Visits({ siteId }: { readonly siteId: string }) {
  const { api, may, to } = useOperator();
  const allowed = may('collection.read', 'accepted');
  const question = useInfiniteQuery({ ...collectionsQuery(api, { siteId, state: 'accepted' }), enabled: allowed });
  if (!allowed) return null;
  return (
    <section className="section" aria-labelledby="visits">
      <h2 id="visits">{words.share.visits}</h2>
      <Answer question={{ ...question, data: question.data?.pages[0]?.items }} lines={4}>
        {(visits) =>
          visits.length === 0 ? (
            <p className="soft">{words.share.noVisits}</p>
          ) : (
            <ul className={styles.visits}>
              {visits.slice(0, lastVisits).map(({ id, localDate, counted, refunds, handed }) => (
                <li key={id}>
                  <Link to={to(`collections/${id}`)}>{formatDay(localDate, locale)}</Link>
                  <div className="soft small">
                    {words.share.visit({ counted: formatMoney(counted, locale), refunds: isZero(refunds) ? null : formatMoney(refunds, locale), handed: isZero(handed) ? null : formatMoney(handed, locale) })}
                  </div>
                </li>
              ))}
            </ul>
          )
        }
      </Answer>
    </section>
  );
}
