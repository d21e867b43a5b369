import { useQuery } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { Link } from 'react-router';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { ToConfirmNotice } from '../keys/own/to-confirm-notice';
import { Answer, Blank } from '../parts/answer';
import { Denied } from '../parts/denied';
import framed from '../parts/framed.module.css';
import { Page } from '../parts/page';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import type { Stop } from './draft';
import { begunElsewhere } from './kept-visits';
import { KeptVisits } from './kept-by-office';
import { keepPageOffline } from './offline';
import { revokedQuery, todayQuery, visitsQuery } from './queries';
import type { Kept, KeptVisit } from './store';
import { Waiting } from './waiting';
import { useHolder, useSender } from './use-phone';
import styles from './phone.module.css';

const text = words.phone;

/** `today`: where a collector goes today, what waits to be sent, and the keys they hold. Opens without a connection. */
export function TodayPage() {
  const { may } = useOperator();
  return may('visit.send') ? <Today /> : <Denied title={text.title} />;
}

function Today() {
  const { api, account, may, to } = useOperator();
  const holder = useHolder();
  const question = useQuery(todayQuery({ api, holder, account }));
  const visits = useQuery(visitsQuery(holder)).data ?? [];
  const sender = useSender();
  const isRevoked = useQuery(revokedQuery(holder)).data === true;
  const opensOffline = useKeptPage(question.data?.isFresh === true);
  return (
    <Page title={text.title}>
      {isRevoked ? <p className="notice notice-alarm">{text.revoked}</p> : null}
      <ToConfirmNotice />
      <Waiting visits={visits} sender={sender} />
      <Answer question={question} lines={6}>
        {(today) => (
          <>
            {today.isFresh ? null : <p className="notice">{text.asOf(formatInstant(today.readAt, locale))}</p>}
            <BegunElsewhere visits={begunElsewhere(visits, today.stops.stops)} />
            <Stops today={today} visits={visits} />
            <KeptVisits visits={today.stops.keptVisits} />
            <Keys keys={today.keys} />
            {may('outage.report') ? (
              <p>
                <Link to={to('machines/reports')}>{text.toOutages}</Link>
              </p>
            ) : null}
            {opensOffline === null ? null : <p className="soft small">{opensOffline ? text.opensOffline : text.opensNot}</p>}
          </>
        )}
      </Answer>
    </Page>
  );
}

/** Whether the browser keeps the page; null while nobody knows. Asked for once the answer that it will show is kept as well. */
function useKeptPage(isFresh: boolean): boolean | null {
  const [isKept, setKept] = useState<boolean | null>(null);
  useEffect(() => {
    // What signing out needs is loaded first, so that it warns without a connection, too.
    if (isFresh) void import('./leave').then(keepPageOffline).then(setKept);
  }, [isFresh]);
  return isKept;
}

function Stops({ today, visits }: { readonly today: Kept; readonly visits: readonly KeptVisit[] }) {
  const { personId, stops } = today.stops;
  if (personId === null) return <Blank title={text.noPerson}><p>{text.noPersonAdvice}</p></Blank>;
  if (stops.length === 0) return <Blank title={text.none}><p>{text.noneAdvice}</p></Blank>;
  return (
    <section className="section" aria-labelledby="stops">
      <h2 id="stops">{text.stops}</h2>
      <ol className={framed.list}>
        {stops.map((stop) => (
          <StopCard key={`${stop.roundId} ${stop.siteId}`} stop={stop} visit={visits.find((each) => each.stop.siteId === stop.siteId && each.stop.roundId === stop.roundId)} />
        ))}
      </ol>
    </section>
  );
}

function BegunElsewhere({ visits }: { readonly visits: readonly KeptVisit[] }) {
  if (visits.length === 0) return null;
  return (
    <section className="section" aria-labelledby="begun">
      <h2 id="begun">{text.begunElsewhere}</h2>
      <ul className={framed.list}>
        {visits.map((visit) => (
          <StopCard key={visit.id} stop={visit.stop} visit={visit} />
        ))}
      </ul>
    </section>
  );
}

function StopCard({ stop, visit }: { readonly stop: Stop; readonly visit: KeptVisit | undefined }) {
  const { to } = useOperator();
  const state = visit === undefined ? (stop.collected ? 'collected' : stop.withOffice ? 'office' : 'open') : visit.visit === null ? 'begun' : 'waiting';
  return (
    <li className={`${framed.box} ${styles.stop}`}>
      <div>
        <h3>{stop.siteName}</h3>
        {stop.address.length === 0 ? null : <p>{stop.address.join(', ')}</p>}
        <p className="soft small">
          {text.round(stop.roundName, formatDay(stop.plannedOn, locale))} · {text.machines(stop.machines.length)}
        </p>
      </div>
      <p className={state === 'begun' || state === 'waiting' ? 'state state-alarm' : 'state'}>{text.state[state]}</p>
      {state === 'waiting' ? null : (
        <Link className={state === 'collected' || state === 'office' ? 'button' : 'button button-main'} to={to(`today/${stop.roundId}/${stop.siteId}`)}>
          {state === 'begun' ? text.goOn : state === 'open' ? text.enter : text.another}
          <span className="visually-hidden">{` ${stop.siteName}`}</span>
        </Link>
      )}
    </li>
  );
}

function Keys({ keys }: { readonly keys: Kept['keys'] }) {
  const { to } = useOperator();
  return (
    <section className="section" aria-labelledby="keys">
      <h2 id="keys">{text.keys}</h2>
      {keys.length === 0 ? <p>{text.noKeys}</p> : null}
      <ul className={framed.list}>
        {keys.map(({ keyCopyId, number, code }) => (
          <li key={keyCopyId}>
            <strong>{number}</strong> <span className="code">{code}</span>
          </li>
        ))}
      </ul>
      <p>
        <Link to={to('keys/own')}>{text.toKeys}</Link>
      </p>
    </section>
  );
}
