import { scaleTime } from 'd3-scale';
import type { CopyHistory } from '../api/shapes';
import { locale } from '../format/locale';
import { words } from '../words/words';
import { lanesOf, type CopyLane, type Lane } from './custody-lanes';
import styles from './custody-chart.module.css';

const text = words.keys.copy.chart;
const dayMs = 86_400_000;

/** Where a copy was, one lane for each who had it, over the time since it was made. The table beside it says the same in words. */
export function CustodyChart({ history: { stays, knownAt, number } }: { readonly history: CopyHistory }) {
  const [first] = stays;
  if (first === undefined) return null;
  const lanes = lanesOf(stays, Date.parse(knownAt));
  return (
    <LaneChart
      title={text.title(number)} start={Date.parse(first.from)}
      lanes={lanes.map((lane) => ({ key: lane.key, name: nameOf(lane), isAlarm: lane.kind === 'missing' || lane.kind === 'destroyed', spans: lane.spans.map((span) => ({ ...span, kind: lane.kind })) }))}
    />
  );
}

/** Where the copies of one cut were, a lane for each of them. */
export function CopiesChart({ lanes, code }: { readonly lanes: readonly CopyLane[]; readonly code: string }) {
  const start = Math.min(...lanes.flatMap(({ spans }) => spans.map(({ from }) => from)));
  if (!Number.isFinite(start)) return null;
  return (
    <div className="stack">
      <LaneChart title={text.copiesTitle(code)} start={start} lanes={lanes.map(({ key, number, spans }) => ({ key, name: number, isAlarm: false, spans }))} />
      <ul className={styles.legend} aria-label={text.colours}>
        {(['person', 'place', 'store', 'missing'] as const).map((kind) => (
          <li key={kind} className="small">
            <svg className={styles.sample} aria-hidden="true">
              <rect className={styles[kind]} x="10%" y="15%" width="80%" height="70%" rx="2" />
            </svg>
            {text.legend[kind]}
          </li>
        ))}
      </ul>
    </div>
  );
}

interface LaneChartProps {
  readonly title: string;
  /** Where the picture begins, in milliseconds since 1970; it ends with the last span. */
  readonly start: number;
  readonly lanes: readonly { readonly key: string; readonly name: string; readonly isAlarm: boolean; readonly spans: CopyLane['spans'] }[];
}

function LaneChart({ title, start, lanes }: LaneChartProps) {
  const end = Math.max(...lanes.flatMap(({ spans }) => spans.map(({ to }) => to)), start + 1);
  const scale = scaleTime().domain([start, end]).range([0, 100]);
  const spanMs = end - start;
  const ticks = scale.ticks(4).map((moment) => ({ label: tickText(moment, spanMs), x: scale(moment) })).filter(({ x }) => x >= 6 && x <= 94)
    // A key that was just given: the same minute is not named twice.
    .filter(({ label }, at, all) => label !== all[at - 1]?.label);
  return (
    <figure className={styles.chart}>
      <div role="img" aria-label={title}>
        {lanes.map((lane) => (
          <div key={lane.key} className={styles.lane}>
            <div className={lane.isAlarm ? 'small state-alarm' : 'small'}>{lane.name}</div>
            <svg className={styles.bars} aria-hidden="true">
              {ticks.map(({ x }) => (
                <line key={x} className={styles.grid} x1={`${x}%`} x2={`${x}%`} y1="0" y2="100%" />
              ))}
              {lane.spans.map(({ from, to, kind }) => {
                // What began just now is seen, too, and within the picture.
                const width = Math.max(scale(to) - scale(from), 0.8);
                return <rect key={from} className={styles[kind]} x={`${Math.min(scale(from), 100 - width)}%`} width={`${width}%`} y="15%" height="70%" rx="2" />;
              })}
            </svg>
          </div>
        ))}
        <svg className={styles.axis} aria-hidden="true">
          {ticks.map(({ x, label }) => (
            <text key={x} x={`${x}%`} y="1em" textAnchor="middle">
              {label}
            </text>
          ))}
        </svg>
      </div>
    </figure>
  );
}

function nameOf({ name, kind }: Lane): string {
  return name ?? (kind === 'destroyed' ? words.keys.state.destroyed : words.keys.state.missing);
}

/** The longer the time, the coarser. */
function tickText(moment: Date, spanMs: number): string {
  if (spanMs < dayMs) return new Intl.DateTimeFormat(locale, { hour: 'numeric', minute: '2-digit' }).format(moment);
  if (spanMs < 3 * dayMs) return new Intl.DateTimeFormat(locale, { weekday: 'short', hour: 'numeric' }).format(moment);
  if (spanMs < 120 * dayMs) return new Intl.DateTimeFormat(locale, { month: 'short', day: 'numeric' }).format(moment);
  return new Intl.DateTimeFormat(locale, { month: 'short', year: 'numeric' }).format(moment);
}
