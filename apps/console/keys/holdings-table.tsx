import type { KeyHolding } from '../api/shapes';
import { Wide } from '../parts/wide';
import { words } from '../words/words';
import { Code, CopyLink, Moment, Whereabouts } from './parts';

/** Copies, and with whom each is. */
export function HoldingsTable({ holdings }: { readonly holdings: readonly KeyHolding[] }) {
  const text = words.keys;
  return (
    <Wide title={text.holdings.view}>
      <table>
        <caption className="visually-hidden">{text.holdings.view}</caption>
        <thead>
          <tr>
            <th scope="col">{text.number}</th>
            <th scope="col">{text.code}</th>
            <th scope="col">{text.with}</th>
            <th scope="col">{text.since}</th>
            <th scope="col">{text.dueBack}</th>
            <th scope="col">{text.opens}</th>
          </tr>
        </thead>
        <tbody>
          {holdings.map(({ keyCopyId, number, code, class: kind, where, machines, sites }) => (
            <tr key={keyCopyId}>
              <th scope="row">
                <CopyLink id={keyCopyId} number={number} />
              </th>
              <td>
                <Code code={code} kind={kind} />
              </td>
              <td>
                <Whereabouts where={where} />
              </td>
              <td>
                <Moment instant={where.since} />
              </td>
              <td>{where.dueBackAt === null ? null : <Moment instant={where.dueBackAt} />}</td>
              <td>{text.machinesAtSites(machines, sites)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Wide>
  );
}
