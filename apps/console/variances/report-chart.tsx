import { scaleLinear } from 'd3-scale';
import type { VarianceReport } from '../api/shapes';
import { formatMoney, isZero } from '../format/money';
import { locale } from '../format/locale';
import { monthInWords } from '../format/month-in-words';
import { words } from '../words/words';
import styles from './variances.module.css';

const text = words.variances.report;
type Row = VarianceReport['rows'][number];

/** More than these and nobody reads them; the table has all. */
const mostShown = 20;

/** Shortages and overages of each row from nought, in each currency. None by collector: a picture of people would say more than the figures can. The table below says the same in figures. */
export function ReportChart({ report: { by, rows } }: { readonly report: VarianceReport }) {
  if (by === 'collector') return null;
  const currencies = [...new Set(rows.map(({ currency }) => currency))];
  return currencies.map((currency) => <Chart key={currency} title={text.chart(text.groups[by], currency)} rows={rows.filter((row) => row.currency === currency && !(isZero(row.shortages) && isZero(row.overages)))} nameOf={nameOf[by]} />);
}

const nameOf: { readonly [by in Exclude<VarianceReport['by'], 'collector'>]: (row: Row) => string } = {
  month: ({ code }) => monthInWords(code),
  machine: ({ code }) => code,
  site: ({ name }) => name,
};

function Chart({ title, rows, nameOf: name }: { readonly title: string; readonly rows: readonly Row[]; readonly nameOf: (row: Row) => string }) {
  if (rows.length < 2) return null;
  const shown = rows.slice(0, mostShown);
  const says = shown.length < rows.length ? `${text.chartSays} ${text.chartFirst(shown.length)}` : text.chartSays;
  // Only for the length of a bar: a picture needs no exact cents.
  const lengths = shown.map(({ shortages, overages }) => ({ short: Number(shortages.amount), over: Number(overages.amount) }));
  const across = scaleLinear().domain([Math.min(0, ...lengths.map(({ short }) => short)), Math.max(0, ...lengths.map(({ over }) => over))]).range([0, 100]);
  const bar = (from: number, to: number) => ({ x: `${across(from)}%`, width: `${across(to) - across(from)}%`, y: '20%', height: '60%' });
  return (
    <figure className={styles.chart}>
      <figcaption>
        <h2>{title}</h2>
        <p className="soft small">{says}</p>
      </figcaption>
      <div role="img" aria-label={`${title}. ${says}`}>
        {shown.map((row, index) => (
          <div key={row.code} className={styles.bar} aria-hidden="true">
            <span className={styles.barName}>{name(row)}</span>
            <svg className={styles.barSpan}>
              <rect className={styles.short} {...bar(lengths[index]?.short ?? 0, 0)} />
              <rect className={styles.over} {...bar(0, lengths[index]?.over ?? 0)} />
              <line className={styles.nought} x1={`${across(0)}%`} x2={`${across(0)}%`} y1="0" y2="100%" />
            </svg>
            <span className="figure small">{formatMoney(row.shortages, locale)}</span>
          </div>
        ))}
      </div>
    </figure>
  );
}
