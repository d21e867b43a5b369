import type { AgreementRow } from '../api/shapes';
import { locale } from '../format/locale';
import { difference, formatMoney } from '../format/money';
import { Amount } from '../parts/amount';
import { words } from '../words/words';
import { causeOf, changeOf } from './list';
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
      {thousandths === null ? null : <span className={styles.percent}>{percentage(thousandths)}</span>}
      {unusual ? <span className="visually-hidden">{words.monthEnd.unusual}</span> : null}
      {unusual ? <span className={styles.because}>{becauseOf(row)}</span> : null}
    </span>
  );
}

function becauseOf(row: AgreementRow): string | null {
  const cause = causeOf(row);
  const text = words.monthEnd.unusualBecause;
  if (cause?.kind === 'earlier') return text.earlier(formatMoney(cause.amount, locale));
  if (cause?.kind === 'takings') return text.takings(percentage(cause.thousandths));
  return cause === null ? null : text.other;
}

function percentage(thousandths: number): string {
  const options = { style: 'percent', maximumFractionDigits: 0, signDisplay: 'exceptZero' } as const;
  return new Intl.NumberFormat(locale, options).format(thousandths / 1000);
}
