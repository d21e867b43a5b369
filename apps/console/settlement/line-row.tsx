import { useEffect, useId, useRef, useState } from 'react';
import type { SettlementLine } from '../api/shapes';
import type { Money } from '../format/money';
import { Amount } from '../parts/amount';
import { words } from '../words/words';
import { useLineAim } from './line-aim';
import { nameOf } from './line-words';
import { isDetail } from './waterfall';
import { WhyPanel } from './why-panel';
import styles from './settlement.module.css';

interface LineRowProps {
  readonly line: SettlementLine;
  /** Instead of the line's own label, when it stands for a whole stage. */
  readonly title?: string;
  /** Instead of the line's own amount, when the stage gives it another sign. */
  readonly amount?: Money;
  /** In the outer column, among the sums. */
  readonly outer?: boolean;
  readonly kind?: 'sum' | 'end' | undefined;
  /** Lines that it came from, shown with its reason. */
  readonly details?: readonly SettlementLine[];
}

/** One line of a settlement, and below it, when asked, why it is this much. */
export function LineRow({ line, title, amount = line.amount, outer = false, kind, details = [] }: LineRowProps) {
  const [open, setOpen] = useState(false);
  const panelId = useId();
  const opener = useRef<HTMLButtonElement>(null);
  const { isWanted, arrived } = useLineAim();
  useEffect(() => {
    if (isWanted(details)) setOpen(true);
    if (!isWanted([line])) return;
    opener.current?.focus();
    arrived();
  }, [isWanted, arrived, line, details]);
  const figure = (
    <td className={isDetail(line) && !outer ? 'figure soft' : 'figure'}>
      <Amount money={amount} />
    </td>
  );
  return (
    <>
      <tr className={kind}>
        <th scope="row" className={outer ? styles.stage : styles.line}>
          <button ref={opener} type="button" className={styles.opener} aria-expanded={open} aria-controls={panelId} onClick={() => setOpen(!open)}>
            <svg viewBox="0 0 10 10" aria-hidden="true" focusable="false" className={open ? styles.turned : undefined}>
              <path d="M3 1.5 7 5 3 8.5" fill="none" stroke="currentColor" strokeWidth="1.75" />
            </svg>
            <span>
              {title ?? nameOf(line)}
              {title === undefined && line.machineTag !== null ? <span className="code">{` ${line.machineTag}`}</span> : null}
              {title === undefined && line.party !== null ? <span className="soft">{` ${line.party}`}</span> : null}
              <span className="visually-hidden">{` ${words.settlement.why}`}</span>
            </span>
          </button>
        </th>
        {outer ? <td /> : figure}
        {outer ? figure : <td />}
      </tr>
      <tr id={panelId} hidden={!open} className={styles.whyRow}>
        <td colSpan={3}>{open ? <WhyPanel line={line} /> : null}</td>
      </tr>
      {open ? details.map((detail) => <LineRow key={detail.lineNumber} line={detail} />) : null}
    </>
  );
}
