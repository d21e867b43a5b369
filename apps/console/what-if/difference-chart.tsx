import { formatPeriod } from '../format/day';
import { locale } from '../format/locale';
import { compareMoney, formatMoney } from '../format/money';
import { PeriodChart } from '../parts/period-chart';
import { words } from '../words/words';
import type { Series } from './series';
import styles from './what-if.module.css';

const text = words.whatIf;

/** How much more or less a party would have had, period by period. The table below it says the same in figures. */
export function DifferenceChart({ series, name }: { readonly series: Series; readonly name: string }) {
  const { periods, currency } = series;
  const sorted = periods.map(({ total }) => total.difference).sort(compareMoney);
  const [least] = sorted;
  const most = sorted.at(-1);
  if (least === undefined || most === undefined) return null;
  const title = text.chart(name, currency);
  return (
    <figure className={styles.chart}>
      <figcaption>
        <h4>{title}</h4>
      </figcaption>
      <PeriodChart
        title={title} says={text.chartSays({ least: formatMoney(least, locale, 'exceptZero'), most: formatMoney(most, locale, 'exceptZero') })} signs="exceptZero"
        figures={periods.map(({ startsOn, endsBefore, total }) => ({ key: `${startsOn} ${endsBefore}`, startsOn, value: Number(total.difference.amount) }))}
      />
    </figure>
  );
}

export function periodText(period: Series['periods'][number]): string {
  return formatPeriod(period, locale);
}
