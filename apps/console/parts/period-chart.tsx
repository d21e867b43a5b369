import { scaleBand, scaleLinear } from 'd3-scale';
import { locale } from '../format/locale';
import styles from './period-chart.module.css';

/** More month names than these would run into each other. */
const mostLabels = 4;

export interface PeriodFigure {
  readonly key: string;
  readonly startsOn: string;
  /** Only for the length of a bar: a picture needs no exact cents. */
  readonly value: number;
  /** How much of the value is drawn darker. */
  readonly part?: number;
}

interface PeriodChartProps {
  readonly title: string;
  /** What the picture says, for those who do not see it; a table near it says the same in figures. */
  readonly says: string;
  readonly figures: readonly PeriodFigure[];
  readonly signs?: 'auto' | 'exceptZero';
}

/** A bar for each period, from nought. */
export function PeriodChart({ title, says, figures, signs = 'auto' }: PeriodChartProps) {
  const values = figures.map(({ value }) => value);
  const across = scaleBand().domain(figures.map(({ key }) => key)).range([0, 100]).padding(figures.length < mostLabels ? 0.6 : 0.25);
  const down = scaleLinear().domain([Math.min(0, ...values), Math.max(0, ...values)]).nice(4).range([100, 0]);
  const ticks = down.ticks(4);
  const every = Math.ceil(figures.length / mostLabels);
  const bar = (key: string, value: number) => ({ x: `${across(key) ?? 0}%`, width: `${across.bandwidth()}%`, y: `${down(Math.max(value, 0))}%`, height: `${Math.abs(down(value) - down(0))}%` });
  return (
    <div className={styles.plot} role="img" aria-label={`${title}. ${says}`}>
      <svg className={styles.scale} aria-hidden="true">
        {ticks.map((tick) => (
          <text key={tick} x="100%" y={`${down(tick)}%`} textAnchor="end" dominantBaseline="middle">
            {new Intl.NumberFormat(locale, { signDisplay: signs }).format(tick)}
          </text>
        ))}
      </svg>
      <svg className={styles.bars} aria-hidden="true">
        {ticks.map((tick) => (
          <line key={tick} className={tick === 0 ? styles.zero : styles.grid} x1="0" x2="100%" y1={`${down(tick)}%`} y2={`${down(tick)}%`} />
        ))}
        {figures.map(({ key, value, part }) => (
          <g key={key}>
            <rect className={value < 0 || part !== undefined ? styles.light : styles.full} {...bar(key, value)} />
            {part === undefined ? null : <rect className={styles.full} {...bar(key, part)} />}
          </g>
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
  );
}

function tickText(day: string): string {
  return new Intl.DateTimeFormat(locale, { month: 'short', year: 'numeric', timeZone: 'UTC' }).format(new Date(`${day}T00:00:00Z`));
}
