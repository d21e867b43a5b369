import type { ReactNode } from 'react';
import { Wide } from './wide';

interface TitledTableProps {
  readonly id: string;
  readonly title: string;
  readonly none: string;
  readonly columns: readonly string[];
  readonly rows: readonly ReactNode[];
}

/** A heading with its table, or the good news that there is nothing. */
export function TitledTable({ id, title, none, columns, rows }: TitledTableProps) {
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
                  <th key={column} scope="col">
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
