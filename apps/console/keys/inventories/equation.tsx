import type { KeyInventory } from '../../api/shapes';
import { formatCount } from '../../format/count';
import { locale } from '../../format/locale';
import { Wide } from '../../parts/wide';
import { words } from '../../words/words';
import { Code, CopyLink } from '../parts';

const text = words.keyInventories;
const columns = ['made', 'duplicated', 'destroyed', 'inStores', 'withHolders', 'missing', 'unaccounted'] as const;

/** What was made must be somewhere: the sum of each code, and of all. */
export function Equation({ inventory: { lines, total } }: { readonly inventory: KeyInventory }) {
  return (
    <section className="section" aria-labelledby="sum">
      <h2 id="sum">{text.sumTitle}</h2>
      <p className="soft">{text.sumLead}</p>
      <Wide title={text.sumTitle}>
        <table>
          <caption className="visually-hidden">{text.sumTitle}</caption>
          <thead>
            <tr>
              <th scope="col">{words.keys.code}</th>
              {columns.map((column) => (
                <th key={column} scope="col" className="figure">
                  {text.columns[column]}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            {lines.map((line) => (
              <tr key={line.keyCodeId}>
                <th scope="row">
                  <Code code={line.code} kind={line.class} />
                </th>
                <Figures figures={line} />
              </tr>
            ))}
          </tbody>
          <tfoot>
            <tr className="end">
              <th scope="row">{text.total}</th>
              <Figures figures={total} />
            </tr>
          </tfoot>
        </table>
      </Wide>
    </section>
  );
}

function Figures({ figures }: { readonly figures: KeyInventory['total'] }) {
  return columns.map((column) => (
    <td key={column} className="figure">
      {column === 'unaccounted' && figures[column] !== 0 ? <span className="state state-alarm">{formatCount(figures[column], locale)}</span> : formatCount(figures[column], locale)}
    </td>
  ));
}

/** Everything that does not fit, by name. */
export function Discrepancies({ inventory: { discrepancies, closed } }: { readonly inventory: KeyInventory }) {
  return (
    <section className="section" aria-labelledby="amiss">
      <h2 id="amiss">{closed === null ? text.amissNow : text.amiss}</h2>
      {discrepancies.length === 0 ? <p>{text.nothingAmiss}</p> : null}
      <ul className="stack">
        {discrepancies.map(({ kind, code, keyCopyId, number, note }, index) => (
          <li key={`${index} ${kind}`}>
            {keyCopyId === null || number === null ? <strong>{code}</strong> : <CopyLink id={keyCopyId} number={number} />} {text.kinds[kind]}
            {note === null ? null : <div className="soft small">{note}</div>}
          </li>
        ))}
      </ul>
    </section>
  );
}
