import { words } from '../words/words';

/** The columns that a file may have: the same table as in the documentation. */
export function ColumnGuide() {
  return (
    <details>
      <summary>{words.imports.guide.title}</summary>
      <div className="stack">
        <p>{words.imports.guide.lead}</p>
        <div className="scroll-across" tabIndex={0} role="group" aria-label={words.imports.guide.title}>
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
              {words.imports.guide.columns.map(({ name, required, holds, example }) => (
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
        </div>
      </div>
    </details>
  );
}
