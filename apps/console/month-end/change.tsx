import type { AgreementRow } from '../api/shapes';
import { difference } from '../format/money';
import { Amount } from '../parts/amount';
import { words } from '../words/words';
import { becauseOf, formatChange } from './because';
import { changeOf } from './list';
import styles from './month-end.module.css';

/** Difference of the payable against the period before; an unusual one is marked, also for those who do not see it. */
export function Change({ row, unusual }: { readonly row: AgreementRow; readonly unusual: boolean }) {
  const { payable, previousPayable } = row;
  if (payable === null) return null;
  if (previousPayable === null) return <span className="soft small">{words.monthEnd.noPrevious}</span>;
  const changed = difference({ now: payable, before: previousPayable });
  if (changed === null) return null;
  const thousandths = changeOf(row);
  return (
    <span className={unusual ? styles.unusual : undefined}>
      <Amount money={changed} signs="exceptZero" />
      {thousandths === null ? null : <span className={styles.percent}>{formatChange(thousandths)}</span>}
      {unusual ? <span className="visually-hidden">{words.monthEnd.unusual}</span> : null}
      {unusual ? <span className={styles.because}>{becauseOf(row)}</span> : null}
    </span>
  );
}
