import { scaleLinear } from 'd3-scale';
import { words } from '../words/words';
import styles from './earnings.module.css';
import { percent, type Line } from './lines';

const text = words.earnings;

/** More than these and nobody reads them; the table has all. */
const mostShown = 24;

/** Each estimate with its range around average, the best first. The table above says the same in figures. */
export function EffectChart({ title, lines }: { readonly title: string; readonly lines: readonly Line[] }) {
  const told = lines.flatMap((line) => (line.effect === null ? [] : [{ ...line, effect: line.effect }])).sort((one, other) => other.effect.percent - one.effect.percent);
  if (told.length === 0) return null;
  const shown = told.length <= mostShown ? told : [...told.slice(0, mostShown / 2), ...told.slice(-mostShown / 2)];
  const reach = shown.reduce((most, { effect }) => Math.max(most, Math.abs(effect.least), Math.abs(effect.most)), 1);
  const across = scaleLinear().domain([-reach, reach]).range([1, 99]);
  return (
    <figure className={styles.chart}>
      <figcaption>
        <h2>{title}</h2>
        <p className="soft small">{text.chartSays}</p>
      </figcaption>
      <div role="img" aria-label={`${title}. ${text.chartSays}`} className={styles.effects}>
        {shown.map(({ id, name, effect }) => (
          <div key={id} className={styles.effect} aria-hidden="true">
            <span className={styles.name}>{name}</span>
            <svg className={styles.range}>
              <line className={styles.zero} x1={`${across(0)}%`} x2={`${across(0)}%`} y1="0" y2="100%" />
              <line className={styles.line} x1={`${across(effect.least)}%`} x2={`${across(effect.most)}%`} y1="50%" y2="50%" />
              <circle className={styles.dot} cx={`${across(effect.percent)}%`} cy="50%" r="4" />
            </svg>
            <span className="figure small">{percent(effect.percent)}</span>
          </div>
        ))}
      </div>
    </figure>
  );
}
