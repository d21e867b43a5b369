import type { Upload } from '../api/imports-api';
import { Wide } from '../parts/wide';
import { words } from '../words/words';

/** The columns that a file may have: the same table as in the documentation. */
export function ColumnGuide({ kind }: { readonly kind: Upload['kind'] }) {
  const columns = kind === 'keys' ? words.imports.guide.keyColumns : words.imports.guide.columns;
  return (
    <details>
      <summary>{words.imports.guide.title}</summary>
      <div className="stack">
        <p>{words.imports.guide.lead}</p>
        {kind === 'keys' ? <p>{words.imports.guide.keysLead}</p> : null}
        <Wide title={words.imports.guide.title}>
          <table>
            <caption className="visually-hidden">{words.imports.guide.title}</caption>
            <thead>
              <tr>
                <th scope="col">{words.imports.guide.column}</th>
                <th scope="col">{words.imports.guide.holds}</th>
                <th scope="col">{words.imports.guide.example}</th>
              </tr>
            </thead>
            <tbody>
              {columns.map(({ name, required, holds, example }) => (
                <tr key={name}>
                  <th scope="row">
                    <code>{name}</code>
                    {required ? <div className="soft small">{words.imports.guide.required}</div> : null}
                  </th>
                  <td>{holds}</td>
                  <td>
                    <code>{example}</code>
                  </td>
                </tr>
              ))}
            </tbody>
          </table>
        </Wide>
      </div>
    </details>
  );
}
