import type { SettlementRow } from '../api/shapes';
import { formatPeriod } from '../format/day';
import { locale } from '../format/locale';
import { compareMoney, formatMoney } from '../format/money';
import { PeriodChart } from '../parts/period-chart';
import { words } from '../words/words';
import styles from './sites.module.css';

const text = words.sites.takingsChart;

type Shown = SettlementRow & { readonly takings: NonNullable<SettlementRow['takings']>; readonly siteShare: NonNullable<SettlementRow['siteShare']> };

const isShown = (row: SettlementRow): row is Shown => !row.reversed && row.takings !== null && row.siteShare !== null;

/** Takings by period with the share of the site in them, the latest on the right; the table below it says the same in figures. */
export function TakingsChart({ settlements }: { readonly settlements: readonly SettlementRow[] }) {
  const periods = settlements.filter(isShown).toSorted((one, other) => one.startsOn.localeCompare(other.startsOn));
  const [first, second] = periods;
  const sorted = periods.toSorted((one, other) => compareMoney(one.takings, other.takings));
  const [least, most] = [sorted[0], sorted.at(-1)];
  // One bar tells no trend.
  if (first === undefined || second === undefined || least === undefined || most === undefined) return null;
  const told = (row: Shown) => ({ amount: formatMoney(row.takings, locale), period: formatPeriod(row, locale) });
  return (
    <figure className={styles.chart}>
      <figcaption className="small">{text.title(first.takings.currency)}</figcaption>
      <PeriodChart
        title={text.title(first.takings.currency)} says={text.says({ least: told(least), most: told(most) })}
        figures={periods.map(({ id, startsOn, takings, siteShare }) => ({ key: id, startsOn, value: Number(takings.amount), part: Math.max(0, Number(siteShare.amount)) }))}
      />
    </figure>
  );
}
