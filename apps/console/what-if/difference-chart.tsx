import { scaleBand, scaleLinear } from 'd3-scale';
import { formatPeriod } from '../format/day';
import { locale } from '../format/locale';
import { compareMoney, formatMoney } from '../format/money';
import { words } from '../words/words';
import type { Series } from './series';
import styles from './what-if.module.css';

const text = words.whatIf;
/** More month names than these would run into each other. */
const mostLabels = 4;

/** How much more or less a party would have had, period by period. The table below it says the same in figures. */
export function DifferenceChart({ series, name }: { readonly series: Series; readonly name: string }) {
  const { periods, currency } = series;
  const sorted = periods.map(({ total }) => total.difference).sort(compareMoney);
  const [least] = sorted;
  const most = sorted.at(-1);
  if (least === undefined || most === undefined) return null;
  // Only for the length of bars: a picture needs no exact cents.
  const figures = periods.map(({ startsOn, endsBefore, total }) => ({ key: `${startsOn} ${endsBefore}`, startsOn, value: Number(total.difference.amount) }));
  const across = scaleBand().domain(figures.map(({ key }) => key)).range([0, 100]).padding(figures.length < mostLabels ? 0.6 : 0.25);
  const down = scaleLinear().domain([Math.min(0, Number(least.amount)), Math.max(0, Number(most.amount))]).nice(4).range([100, 0]);
  const ticks = down.ticks(4);
  const every = Math.ceil(figures.length / mostLabels);
  const title = text.chart(name, currency);
  return (
    <figure className={styles.chart}>
      <figcaption>
        <h4>{title}</h4>
      </figcaption>
      <div className={styles.plot} role="img" aria-label={`${title}. ${text.chartSays({ least: formatMoney(least, locale, 'exceptZero'), most: formatMoney(most, locale, 'exceptZero') })}`}>
        <svg className={styles.scale} aria-hidden="true">
          {ticks.map((tick) => (
            <text key={tick} x="100%" y={`${down(tick)}%`} textAnchor="end" dominantBaseline="middle">
              {new Intl.NumberFormat(locale, { signDisplay: 'exceptZero' }).format(tick)}
            </text>
          ))}
        </svg>
        <svg className={styles.bars} aria-hidden="true">
          {ticks.map((tick) => (
            <line key={tick} className={tick === 0 ? styles.zero : styles.grid} x1="0" x2="100%" y1={`${down(tick)}%`} y2={`${down(tick)}%`} />
          ))}
          {figures.map(({ key, value }) => (
            <rect
              key={key} className={value < 0 ? styles.less : styles.more} x={`${across(key) ?? 0}%`} width={`${across.bandwidth()}%`}
              y={`${down(Math.max(value, 0))}%`} height={`${Math.abs(down(value) - down(0))}%`}
            />
          ))}
        </svg>
        <svg className={styles.months} aria-hidden="true">
          {figures.map(({ key, startsOn }, index) =>
            index % every === 0 ? (
              <text key={key} x={`${(across(key) ?? 0) + across.bandwidth() / 2}%`} y="1em" textAnchor="middle">
                {tickText(startsOn)}
              </text>
            ) : null,
          )}
        </svg>
      </div>
    </figure>
  );
}

function tickText(day: string): string {
  return new Intl.DateTimeFormat(locale, { month: 'short', year: 'numeric', timeZone: 'UTC' }).format(new Date(`${day}T00:00:00Z`));
}

export function periodText(period: Series['periods'][number]): string {
  return formatPeriod(period, locale);
}
