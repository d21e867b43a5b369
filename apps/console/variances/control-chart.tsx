import { scaleLinear } from 'd3-scale';
import { formatDay } from '../format/day';
import { locale } from '../format/locale';
import { words } from '../words/words';
import styles from './variances.module.css';

export interface ChartPoint {
  readonly key: string;
  readonly day: string;
  readonly value: number;
  readonly limit: number;
  readonly signals: boolean;
}

interface ControlChartProps {
  readonly title: string;
  readonly points: readonly ChartPoint[];
  /** Whether values below zero count, too: then there is a limit on either side. */
  readonly twoSided: boolean;
}

/** There is none while too little is known of the machine. */
const hasLimit = ({ limit }: ChartPoint): boolean => limit > 0;

const written = (value: number): string => new Intl.NumberFormat(locale, { maximumFractionDigits: 1 }).format(value);

/** A value per count between its limits, oldest first. Counts stand at equal distances, as the chart reckons by counts and not by days. */
export function ControlChart({ title, points, twoSided }: ControlChartProps) {
  const first = points[0];
  const last = points.at(-1);
  if (first === undefined || last === undefined) return null;
  const most = points.reduce((high, { value, limit }) => Math.max(high, Math.abs(value), limit), 0.1) * 1.15;
  const across = scaleLinear().domain([0, Math.max(points.length - 1, 1)]).range([1.5, 98.5]);
  const up = scaleLinear().domain([twoSided ? -most : 0, most]).range([100, 0]);
  const ticks = up.ticks(4);
  // Where the limit begins: what is to be seen happens later.
  const named = points.find(hasLimit);
  const lines = (className: string | undefined, all: typeof points, value: (point: ChartPoint) => number, isShown: (point: ChartPoint) => boolean = () => true) =>
    all.flatMap((point, place) => {
      const next = all[place + 1];
      if (next === undefined || !isShown(point) || !isShown(next)) return [];
      return [<line key={point.key} className={className} x1={`${across(place)}%`} y1={`${up(value(point))}%`} x2={`${across(place + 1)}%`} y2={`${up(value(next))}%`} />];
    });
  return (
    <figure className={styles.chart}>
      <figcaption className="soft small">{words.variances.machineChart.unit}</figcaption>
      <div role="img" aria-label={title} className={styles.scaled}>
        <svg className={styles.scale} aria-hidden="true">
          {ticks.map((tick) => (
            <text key={tick} x="100%" y={`${up(tick)}%`} textAnchor="end" dominantBaseline="middle">
              {written(tick)}
            </text>
          ))}
        </svg>
        <svg className={styles.plot} aria-hidden="true">
          {ticks.map((tick) => (
            <line key={tick} className={tick === 0 ? styles.zero : styles.grid} x1="0" x2="100%" y1={`${up(tick)}%`} y2={`${up(tick)}%`} />
          ))}
          {lines(styles.limit, points, ({ limit }) => limit, hasLimit)}
          {twoSided ? lines(styles.limit, points, ({ limit }) => -limit, hasLimit) : null}
          {lines(styles.value, points, ({ value }) => value)}
          {points.map(({ key, value, signals }, place) => (
            <circle key={key} className={signals ? styles.signal : styles.point} cx={`${across(place)}%`} cy={`${up(value)}%`} r={signals ? 6 : points.length > 80 ? 1.5 : 3} />
          ))}
          {named === undefined
            ? null
            : (twoSided ? [named.limit, -named.limit] : [named.limit]).map((limit) => (
                <text key={limit} className={styles.named} x={`${across(points.indexOf(named))}%`} y={`${up(limit)}%`} dy={limit < 0 ? '1.3em' : '-0.6em'} textAnchor={across(points.indexOf(named)) < 60 ? 'start' : 'end'}>
                  {twoSided ? words.variances.machineChart.limit : words.variances.machineChart.limitOf(written(limit))}
                </text>
              ))}
        </svg>
        <svg className={styles.axis} aria-hidden="true">
          <text x="0" y="1em">
            {formatDay(first.day, locale)}
          </text>
          <text x="100%" y="1em" textAnchor="end">
            {points.length > 1 ? formatDay(last.day, locale) : ''}
          </text>
        </svg>
      </div>
    </figure>
  );
}
