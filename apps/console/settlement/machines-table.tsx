import { useEffect, useId, useState } from 'react';
import type { SettlementLine } from '../api/shapes';
import { Amount } from '../parts/amount';
import { Wide } from '../parts/wide';
import { words } from '../words/words';
import { columnsOf, columnTotal, machineRows, type MachineColumn, type MachineRow } from './machines';
import { SecondPlace, useLineAim } from './line-aim';
import { LineRow } from './line-row';
import styles from './settlement.module.css';

interface MachinesProps {
  readonly lines: readonly SettlementLine[];
  readonly currency: string;
}

/** What each machine brought in. A row opens to the machine's lines, and each of those to its reason. */
export function Machines({ lines, currency }: MachinesProps) {
  const rows = machineRows(lines);
  const columns = columnsOf(rows);
  if (rows.length === 0) return null;
  return (
    <section className="section" aria-labelledby="machines">
      <h2 id="machines">{words.settlement.machines}</h2>
      <Wide title={words.settlement.machines}>
        <table>
          <caption className="visually-hidden">{words.settlement.machinesCaption(currency)}</caption>
          <thead>
            <tr>
              <th scope="col">{words.machine}</th>
              {columns.map((column) => (
                <th key={column} scope="col" className="figure">
                  {words.settlement.machineColumn[column]}
                </th>
              ))}
            </tr>
          </thead>
          <tbody>
            <SecondPlace>
              {rows.map((row) => (
                <OneMachine key={row.tag} row={row} columns={columns} />
              ))}
            </SecondPlace>
          </tbody>
          <tfoot>
            <tr className="end">
              <th scope="row">{words.settlement.allMachines(rows.length)}</th>
              {columns.map((column) => {
                const total = columnTotal(rows, column);
                return (
                  <td key={column} className="figure">
                    {total === null ? null : <Amount money={total} />}
                  </td>
                );
              })}
            </tr>
          </tfoot>
        </table>
      </Wide>
    </section>
  );
}

function OneMachine({ row, columns }: { readonly row: MachineRow; readonly columns: readonly MachineColumn[] }) {
  const [open, setOpen] = useState(false);
  const panelId = useId();
  const { isWanted } = useLineAim();
  const isOneWanted = isWanted(row.lines);
  useEffect(() => {
    if (isOneWanted) setOpen(true);
  }, [isOneWanted]);
  return (
    <>
      <tr>
        <th scope="row">
          <button type="button" className={styles.opener} aria-expanded={open} aria-controls={panelId} onClick={() => setOpen(!open)}>
            <svg viewBox="0 0 10 10" aria-hidden="true" focusable="false" className={open ? styles.turned : undefined}>
              <path d="M3 1.5 7 5 3 8.5" fill="none" stroke="currentColor" strokeWidth="1.75" />
            </svg>
            <span className={styles.tag}>
              {row.tag}
              <span className="visually-hidden">{` ${words.settlement.why}`}</span>
            </span>
          </button>
        </th>
        {columns.map((column) => {
          const money = row.figures[column];
          return (
            <td key={column} className="figure">
              {money === undefined ? null : <Amount money={money} />}
            </td>
          );
        })}
      </tr>
      <tr id={panelId} hidden={!open} className={styles.whyRow}>
        <td colSpan={columns.length + 1}>
          {open ? (
            <table className={styles.waterfall}>
              <caption className="visually-hidden">{words.settlement.linesOf(row.tag)}</caption>
              <tbody>
                {row.lines.map((line) => (
                  <LineRow key={line.lineNumber} line={line} />
                ))}
              </tbody>
            </table>
          ) : null}
        </td>
      </tr>
    </>
  );
}
