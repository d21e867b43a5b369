import type { ReactNode } from 'react';
import { Wide } from './wide';

interface TitledTableProps {
  readonly id: string;
  readonly title: string;
  readonly none: string;
  readonly columns: readonly string[];
  /** Those of them that hold figures: their heads stand over these, at the end. */
  readonly figures?: readonly string[];
  readonly rows: readonly ReactNode[];
  /** Where the table is opened only by who asks for it: how much is in it. */
  readonly folded?: string | undefined;
  /** What to mind of the rows. */
  readonly note?: string;
  /** Level of the heading: a table of a section that has one stands a level below it. */
  readonly heading?: 'h2' | 'h3';
}

/** A heading with its table, or the good news that there is nothing. */
export function TitledTable({ id, title, none, columns, figures = [], rows, folded, note, heading: Heading = 'h2' }: TitledTableProps) {
  if (rows.length === 0) {
    return (
      <section className="section" aria-labelledby={id}>
        <Heading id={id}>{title}</Heading>
        <p className="soft">{none}</p>
      </section>
    );
  }
  const table = (
    <div className="section">
      {note === undefined ? null : <p className="soft">{note}</p>}
      <Wide title={title}>
        <table>
          <caption className="visually-hidden">{title}</caption>
          <thead>
            <tr>
              {columns.map((column) => (
                <th key={column} scope="col" className={figures.includes(column) ? 'figure' : undefined}>
                  {column}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>{rows}</tbody>
        </table>
      </Wide>
    </div>
  );
  if (folded !== undefined) {
    return (
      <details className="folded">
        <summary>
          <Heading id={id}>{title}</Heading> <span className="soft">{folded}</span>
        </summary>
        {table}
      </details>
    );
  }
  return (
    <section className="section" aria-labelledby={id}>
      <Heading id={id}>{title}</Heading>
      {table}
    </section>
  );
}
