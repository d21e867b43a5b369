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
}

/** A heading with its table, or the good news that there is nothing. */
export function TitledTable({ id, title, none, columns, figures = [], rows }: TitledTableProps) {
  return (
    <section className="section" aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      {rows.length === 0 ? (
        <p className="soft">{none}</p>
      ) : (
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
      )}
    </section>
  );
}
