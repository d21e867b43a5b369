import { useEffect, useState } from 'react';
import type { SettlementLine } from '../api/shapes';
import { Amount } from '../parts/amount';
import { words } from '../words/words';
import { useLineAim } from './line-aim';
import { LineRow } from './line-row';
import { waterfall, type Stage, type StageRow } from './waterfall';
import styles from './settlement.module.css';

interface WaterfallTableProps {
  readonly lines: readonly SettlementLine[];
  readonly caption: string;
}

/** Single lines stand in the inner column of figures and what they come to in the outer one, as in a book of account. */
export function WaterfallTable({ lines, caption }: WaterfallTableProps) {
  return (
    <table className={styles.waterfall}>
      <caption className="visually-hidden">{caption}</caption>
      <thead className="visually-hidden">
        <tr>
          <th scope="col">{words.settlement.line}</th>
          <th scope="col">{words.settlement.single}</th>
          <th scope="col">{words.settlement.sum}</th>
        </tr>
      </thead>
      {waterfall(lines).map((row) => (
        <StageRows key={row.stage} row={row} />
      ))}
    </table>
  );
}

const ruled: Readonly<Partial<Record<Stage, 'sum' | 'end'>>> = { left: 'sum', payable: 'end' };

function StageRows({ row }: { readonly row: StageRow }) {
  const { stage, amount, lines, details } = row;
  const [only, ...more] = lines;
  // A stage of one line is that line: saying it twice would only lengthen the page.
  if (only !== undefined && more.length === 0 && only.machineTag === null) {
    return (
      <tbody>
        <LineRow line={only} title={words.settlement.stage[stage]} amount={amount} outer kind={ruled[stage]} details={details} />
      </tbody>
    );
  }
  return <OpenStage row={row} />;
}

function OpenStage({ row }: { readonly row: StageRow }) {
  const { stage, amount } = row;
  const [open, setOpen] = useState(false);
  const lines = [...row.lines, ...row.details].sort((one, other) => one.lineNumber - other.lineNumber);
  const ofMachines = lines.filter((line) => line.machineTag !== null);
  const others = lines.filter((line) => line.machineTag === null);
  const { isWanted } = useLineAim();
  const isOneWanted = isWanted(ofMachines);
  useEffect(() => {
    if (isOneWanted) setOpen(true);
  }, [isOneWanted]);
  return (
    <tbody>
      <tr className={ruled[stage]}>
        <th scope="row" className={styles.stage}>
          {words.settlement.stage[stage]}
          {ofMachines.length === 0 ? null : (
            <button type="button" className="button-plain small no-print" aria-expanded={open} onClick={() => setOpen(!open)}>
              {open ? words.settlement.hideLines : words.settlement.showLines(ofMachines.length)}
              <span className="visually-hidden">{`: ${words.settlement.stage[stage]}`}</span>
            </button>
          )}
        </th>
        <td />
        <td className="figure">
          <Amount money={amount} />
        </td>
      </tr>
      {others.map((line) => (
        <LineRow key={line.lineNumber} line={line} />
      ))}
      {open ? ofMachines.map((line) => <LineRow key={line.lineNumber} line={line} />) : null}
    </tbody>
  );
}
