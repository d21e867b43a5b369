import { queryOptions, useInfiniteQuery, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link, useParams } from 'react-router';
import type { OperatorApi } from '../api/operator-api';
import type { SiteView } from '../api/shapes';
import { collectionsQuery } from '../collections/queries';
import { formatDay, formatPeriodShort } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney, isZero } from '../format/money';
import { ToConfirmNotice } from '../keys/own/to-confirm-notice';
import { Amount } from '../parts/amount';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import { More } from '../parts/more';
import { Page } from '../parts/page';
import { OwnRefundClaims } from '../refund-claims/own-claims';
import { useOperator } from '../session/operator';
import { AgreementSection } from '../sites/agreement-section';
import { words } from '../words/words';
import styles from './share.module.css';
import { showRest, Statements } from './statements';

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

/** As many as a phone shows without looking for them. */
const lastVisits = 5;

/** What was counted, given back to players and handed over at the last visits; each opens to its boxes and slips. */
function Visits({ siteId }: { readonly siteId: string }) {
  const { api, may, to } = useOperator();
  const allowed = may('collection.read', 'accepted');
  const question = useInfiniteQuery({ ...collectionsQuery(api, { siteId, state: 'accepted' }), enabled: allowed });
  const [isWhole, setWhole] = useState(false);
  if (!allowed) return null;
  return (
    <section className="section" aria-labelledby="visits">
      <h2 id="visits">{words.share.visits}</h2>
      <Answer question={{ ...question, data: question.data?.pages.flatMap((page) => page.items) }} lines={4}>
        {(visits) => {
          if (visits.length === 0) return <p className="soft">{words.share.noVisits}</p>;
          const shown = isWhole ? visits : visits.slice(0, lastVisits);
          return (
            <div className="stack">
              <ul className={styles.visits}>
                {shown.map(({ id, localDate, counted, refunds, handed }) => (
                  <li key={id}>
                    <Link to={to(`collections/${id}`)}>{formatDay(localDate, locale)}</Link>
                    <div className="soft small">
                      {words.share.visit({ counted: formatMoney(counted, locale), refunds: isZero(refunds) ? null : formatMoney(refunds, locale), handed: isZero(handed) ? null : formatMoney(handed, locale) })}
                    </div>
                  </li>
                ))}
              </ul>
              {shown.length < visits.length ? (
                <div>
                  <button type="button" className="button" onClick={(event) => showRest(event, { shown: shown.length, show: () => setWhole(true) })}>
                    {words.share.allVisits}
                  </button>
                </div>
              ) : null}
              {isWhole ? <More question={question} /> : null}
            </div>
          );
        }}
      </Answer>
    </section>
  );
}
