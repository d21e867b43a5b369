import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { Link } from 'react-router';
import type { KeyInventorySchedule, KeyInventorySummary } from '../../api/shapes';
import { formatDay } from '../../format/day';
import { locale } from '../../format/locale';
import { Answer } from '../../parts/answer';
import { Denied } from '../../parts/denied';
import { Page } from '../../parts/page';
import { Wide } from '../../parts/wide';
import { useOperator } from '../../session/operator';
import { words } from '../../words/words';
import { KeyViews, Moment } from '../parts';
import { OldLocks } from './old-locks';
import { OpenInventory, type Opening } from './open-inventory';
import { inventoriesQuery, scheduleQuery } from './queries';

const text = words.keyInventories;

/** `keys/inventories`: when keys are to be counted, the counts that were made, and locks that have been on for long. */
export function KeyInventoriesPage() {
  const { api, may } = useOperator();
  const [opening, setOpening] = useState<Opening | null>(null);
  const allowed = may('key-inventory.read');
  const schedule = useQuery({ ...scheduleQuery(api), enabled: allowed });
  const inventories = useQuery({ ...inventoriesQuery(api), enabled: allowed });
  if (!allowed) return <Denied title={text.view} />;
  return (
    <Page title={text.view} lead={schedule.data === undefined ? undefined : text.lead(schedule.data.everyMonths)} actions={<KeyViews />}>
      <Answer question={schedule} lines={3}>
        {(due) => <Due due={due} onOpen={may('key-inventory.open') ? setOpening : null} />}
      </Answer>
      <section className="section" aria-labelledby="counts">
        <h2 id="counts">{text.list}</h2>
        <Answer question={inventories} lines={5}>
          {(counts) => (counts.length === 0 ? <p className="soft">{text.none}</p> : <Counts counts={counts} />)}
        </Answer>
      </section>
      {may('machine-lock.read') ? <OldLocks /> : null}
      {opening === null ? null : <OpenInventory opening={opening} onClose={() => setOpening(null)} />}
    </Page>
  );
}

interface DueProps {
  readonly due: KeyInventorySchedule;
  readonly onOpen: ((opening: Opening) => void) | null;
}

function Due({ due: { lastClosedOn, nextDueOn, overdue, custodianChanges }, onOpen }: DueProps) {
  return (
    <section className="section" aria-label={text.view}>
      <p className="lead">
        {lastClosedOn === null ? text.never : text.last(formatDay(lastClosedOn, locale))} {nextDueOn === null ? text.noKeys : text.due(formatDay(nextDueOn, locale))}{' '}
        {overdue ? <span className="state state-alarm">{text.overdue}</span> : null}
      </p>
      {onOpen === null ? null : (
        <div>
          <button type="button" className="button button-main" onClick={() => onOpen({ cause: 'schedule', storeId: '' })}>
            {text.open}
          </button>
        </div>
      )}
      {custodianChanges.length === 0 ? null : (
        <>
          <h3>{text.changes}</h3>
          <ul className="stack">
            {custodianChanges.map(({ store, custodian, dueOn, overdue: isLate }) => (
              <li key={store.storeId} className="row">
                <span>
                  {text.changed({ store: store.name, name: custodian.name, due: formatDay(dueOn, locale) })} {isLate ? <span className="state state-alarm">{text.overdue}</span> : null}
                </span>
                {onOpen === null ? null : (
                  <button type="button" className="button button-small" onClick={() => onOpen({ cause: 'custodian-change', storeId: store.storeId })}>
                    {text.countStore}
                    <span className="visually-hidden">{` ${store.name}`}</span>
                  </button>
                )}
              </li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}

function Counts({ counts }: { readonly counts: readonly KeyInventorySummary[] }) {
  const { to } = useOperator();
  return (
    <Wide title={text.list}>
      <table>
        <caption className="visually-hidden">{text.list}</caption>
        <thead>
          <tr>
            <th scope="col">{text.begun}</th>
            <th scope="col">{text.what}</th>
            <th scope="col">{words.state}</th>
            <th scope="col" className="figure">
              {text.counted}
            </th>
            <th scope="col">{words.reason}</th>
          </tr>
        </thead>
        <tbody>
          {counts.map(({ id, openedAt, store, cause, closed, counted, copies, reason }) => (
            <tr key={id}>
              <th scope="row">
                <Link to={to(`keys/inventories/${id}`)}>
                  <Moment instant={openedAt} />
                </Link>
              </th>
              <td>
                {store === null ? text.everyKey : store.name} <span className="soft small">{text.causeShort[cause]}</span>
              </td>
              <td>{closed === null ? <strong>{text.state.open}</strong> : text.state.closed}</td>
              <td className="figure">{text.of(counted, copies)}</td>
              <td>{reason}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
