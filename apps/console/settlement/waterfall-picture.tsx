import { scaleLinear } from 'd3-scale';
import type { SettlementLine } from '../api/shapes';
import { Amount } from '../parts/amount';
import { words } from '../words/words';
import { useLineAim } from './line-aim';
import { picture, spanOf, type Bar } from './picture';
import { waterfall } from './waterfall';
import styles from './picture.module.css';

/** What became of the takings, as bars; each leads to its lines in the table, where the reasons are. */
export function WaterfallPicture({ lines }: { readonly lines: readonly SettlementLine[] }) {
  const bars = picture(waterfall(lines));
  const { least, most } = spanOf(bars);
  if (least === most) return null;
  // Only for the length of bars: a picture needs no exact cents.
  const across = scaleLinear().domain([Number(least), Number(most)]).range([0, 100]);
  return (
    <ol className={styles.picture} aria-label={words.settlement.picture}>
      {bars.map((bar) => (
        <li key={bar.key} className={styles.row}>
          <Name bar={bar} />
          <svg className={styles.bar} aria-hidden="true">
            <line className={styles.zero} x1={`${across(0)}%`} x2={`${across(0)}%`} y1="0" y2="100%" />
            <rect
              className={styles[bar.kind]} y="18%" height="64%"
              x={`${Math.min(across(Number(bar.from)), across(Number(bar.to)))}%`} width={`${Math.max(Math.abs(across(Number(bar.to)) - across(Number(bar.from))), 0.3)}%`}
            />
          </svg>
          <span className="figure">
            <Amount money={bar.amount} />
          </span>
        </li>
      ))}
    </ol>
  );
}

function Name({ bar: { stage, party, line } }: { readonly bar: Bar }) {
  const { wayTo } = useLineAim();
  const text = party ?? words.settlement.stage[stage];
  const go = line === null ? null : wayTo(line.lineNumber);
  if (go === null) return <span className={styles.name}>{text}</span>;
  return (
    <button type="button" className={`button-plain ${styles.name}`} onClick={go}>
      {text}
      <span className="visually-hidden">{` ${words.settlement.toLines}`}</span>
    </button>
  );
}
