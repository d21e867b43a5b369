import type { CollectionDue } from '../api/shapes';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Wide } from '../parts/wide';
import { words } from '../words/words';
import styles from './rounds.module.css';

const text = words.rounds.due;

interface DueTableProps {
  readonly items: readonly CollectionDue[];
  /** Sites that go into the next round, in the order in which they were chosen. */
  readonly chosen: readonly string[];
  readonly onChosen: (chosen: readonly string[]) => void;
  readonly onRhythm: (site: CollectionDue) => void;
}

/** Sites by the day on which they are due; those that are chosen make the next round. */
export function DueTable({ items, chosen, onChosen, onRhythm }: DueTableProps) {
  return (
    <>
      <Wide title={text.title}>
        <table>
          <caption className="visually-hidden">{text.title}</caption>
          <thead>
            <tr>
              <th scope="col">{words.site}</th>
              <th scope="col">{text.due}</th>
              <th scope="col">{text.lastVisit}</th>
              <th scope="col">{text.cash}</th>
              <th scope="col">{text.planned}</th>
              <th scope="col">{text.rhythm}</th>
            </tr>
          </thead>
          <tbody>
            {items.map((item) => (
              <tr key={item.siteId}>
                <th scope="row">
                  <label className={styles.choose}>
                    <input
                      type="checkbox" aria-label={text.choose(item.siteName)} checked={chosen.includes(item.siteId)}
                      onChange={(event) => onChosen(event.currentTarget.checked ? [...chosen, item.siteId] : chosen.filter((id) => id !== item.siteId))}
                    />
                    <span>
                      {item.siteName} <span className="code small">{item.siteCode}</span>
                    </span>
                  </label>
                </th>
                <td>
                  <DueOn item={item} />
                </td>
                <td>{item.lastCollectedOn === null ? text.never : formatDay(item.lastCollectedOn, locale)}</td>
                <td>
                  {item.withheld ? text.withheld : item.machinesWithoutEstimate === item.machines ? text.notKnown : formatMoney(item.cash, locale)}
                  {item.withheld || item.machinesWithoutEstimate === 0 || item.machinesWithoutEstimate === item.machines ? null : <div className="soft small">{text.unknown(item.machinesWithoutEstimate)}</div>}
                </td>
                <td>{item.planned === null ? null : text.plannedOn(formatDay(item.planned.plannedOn, locale), item.planned.collectorName)}</td>
                <td>
                  <button type="button" className="button-plain" onClick={() => onRhythm(item)}>
                    {item.everyDays === null ? text.noRhythm : text.every(item.everyDays)}
                    <span className="visually-hidden">{` ${item.siteName}`}</span>
                  </button>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Wide>
      <p className="soft small">{text.caution}</p>
    </>
  );
}

function DueOn({ item: { dueOn, daysOverdue, because } }: { readonly item: CollectionDue }) {
  if (dueOn === null) return null;
  return (
    <>
      {formatDay(dueOn, locale)}
      {daysOverdue === 0 ? null : <div className="state state-alarm">{text.overdue(daysOverdue)}</div>}
      {because === 'cash' ? <div className="soft small">{text.byCash}</div> : null}
    </>
  );
}
