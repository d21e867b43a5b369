import { useQuery } from '@tanstack/react-query';
import { Link, useParams } from 'react-router';
import type { KeySite, Round, Site } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { everySiteQuery } from '../keys/queries';
import { keySitesQuery } from '../keys/set-up/queries';
import { Answer } from '../parts/answer';
import { Denied } from '../parts/denied';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { roundQuery } from './queries';
import styles from './rounds.module.css';

const text = words.rounds.sheet;

/** `rounds/:roundId`: a round on one sheet of paper, with the keys to take along. No figure is on it: a sheet gets lost. */
export function RoundSheetPage() {
  const { roundId = '' } = useParams();
  const { api, may, to } = useOperator();
  const allowed = may('round.read') && may('site.read');
  const round = useQuery({ ...roundQuery(api, roundId), enabled: allowed });
  const sites = useQuery({ ...everySiteQuery(api), enabled: allowed });
  const cuts = useQuery({ ...keySitesQuery(api), enabled: allowed && may('key-site.read') });
  if (!allowed) return <Denied title={text.title} />;
  const actions = (
    <div className="row no-print">
      <button type="button" className="button button-main" onClick={() => window.print()}>
        {text.print}
      </button>
      <Link className="button" to={to('rounds')}>
        {words.rounds.title}
      </Link>
    </div>
  );
  return (
    <Page title={round.data?.name ?? text.title} lead={round.data === undefined ? undefined : text.lead(formatDay(round.data.plannedOn, locale), round.data.collectorName)} actions={actions}>
      <Answer question={round} lines={6}>
        {(found) => <Answer question={sites} lines={6}>{(every) => <Sheet round={found} sites={every} cuts={cuts.data ?? []} />}</Answer>}
      </Answer>
    </Page>
  );
}

function Sheet({ round, sites, cuts }: { readonly round: Round; readonly sites: readonly Site[]; readonly cuts: readonly KeySite[] }) {
  const boxCutsAt = (siteId: string) => (cuts.find((each) => each.siteId === siteId)?.cuts ?? []).filter((cut) => cut.class === 'cash-box').map(({ code }) => code);
  const toTake = [...new Set(round.stops.flatMap(({ siteId }) => boxCutsAt(siteId)))].sort();
  return (
    <>
      {round.cancelledBecause === null ? null : <p className="state state-alarm">{words.rounds.planned.cancelled(round.cancelledBecause)}</p>}
      <p>{toTake.length === 0 ? text.noKeys : text.keys(toTake)}</p>
      <table className={styles.sheet}>
        <caption className="visually-hidden">{round.name}</caption>
        <thead>
          <tr>
            <th scope="col">{text.stop}</th>
            <th scope="col">{words.site}</th>
            <th scope="col">{text.key}</th>
            <th scope="col">{text.done}</th>
          </tr>
        </thead>
        <tbody>
          {round.stops.map(({ siteId, siteCode, siteName }, place) => (
            <tr key={siteId}>
              <td>{place + 1}</td>
              <th scope="row">
                {siteName} <span className="code small">{siteCode}</span>
                <div className="soft small">{(sites.find(({ id }) => id === siteId)?.address ?? []).join(', ')}</div>
              </th>
              <td>{boxCutsAt(siteId).join(', ')}</td>
              <td className={styles.toTick} />
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
}
