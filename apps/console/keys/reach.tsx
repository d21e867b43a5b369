import type { KeyReach } from '../api/shapes';
import { formatDay, formatInstant } from '../format/day';
import { locale } from '../format/locale';
import { formatMoney } from '../format/money';
import { Amount } from '../parts/amount';
import { Wide } from '../parts/wide';
import { words } from '../words/words';
import { CopyLink, Moment, Whereabouts } from './parts';

const text = words.keys.copy;

/** What a lost key opens, the cash that probably lies there, and who has another. */
export function Reach({ reach }: { readonly reach: KeyReach }) {
  const { machines, sites, cash, machinesWithoutEstimate, copies } = reach;
  return (
    <div className="stack">
      <p className="lead">{machines.length === 0 ? text.reachesNothing : text.reaches({ machines: machines.length, sites: sites.length })}</p>
      {cash.length === 0 ? null : <p>{text.cash(cash.map((money) => formatMoney(money, locale)).join(', '))}</p>}
      {machinesWithoutEstimate === 0 ? null : <p>{text.withoutEstimate(machinesWithoutEstimate)}</p>}
      <h3>{text.others}</h3>
      {copies.length === 0 ? <p>{text.noOthers}</p> : <Copies copies={copies} />}
      {machines.length === 0 ? null : <Machines machines={machines} />}
    </div>
  );
}

function Machines({ machines }: Pick<KeyReach, 'machines'>) {
  return (
    <Wide title={text.ifLost}>
      {machines.some(({ cash }) => cash?.reportedAt === null) ? <p className="soft small">{text.estimatedFromTakings}</p> : null}
      <table>
        <caption className="visually-hidden">{text.ifLost}</caption>
        <thead>
          <tr>
            <th scope="col">{words.machine}</th>
            <th scope="col">{words.site}</th>
            <th scope="col">{words.keys.lock}</th>
            <th scope="col">{text.lastCollected}</th>
            <th scope="col" className="figure">
              {text.probably}
            </th>
          </tr>
        </thead>
        <tbody>
          {machines.map(({ machineId, machineTag, siteName, locks, cash }) => (
            <tr key={machineId}>
              <th scope="row">{machineTag}</th>
              <td>{siteName ?? <span className="soft">{words.keys.noSite}</span>}</td>
              <td>{locks.map(({ opens }) => words.keys.place[opens]).join(', ')}</td>
              <td>{cash === null ? null : formatDay(cash.lastCollectedOn, locale)}</td>
              <td className="figure">
                {cash === null ? null : <Amount money={cash.amount} alone />}
                {cash === null || cash.reportedAt === null ? null : <div className="soft small">{text.fromReport(formatInstant(cash.reportedAt, locale))}</div>}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}

function Copies({ copies }: Pick<KeyReach, 'copies'>) {
  return (
    <table>
      <caption className="visually-hidden">{text.others}</caption>
      <thead>
        <tr>
          <th scope="col">{words.keys.number}</th>
          <th scope="col">{words.keys.with}</th>
          <th scope="col">{words.keys.since}</th>
        </tr>
      </thead>
      <tbody>
        {copies.map(({ keyCopyId, number, where }) => (
          <tr key={keyCopyId}>
            <th scope="row">
              <CopyLink id={keyCopyId} number={number} />
            </th>
            <td>
              <Whereabouts where={where} />
            </td>
            <td>
              <Moment instant={where.since} />
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
