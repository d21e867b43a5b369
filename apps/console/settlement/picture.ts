import type { SettlementLine } from '../api/shapes';
import { isZero, negated, sum, unitsOf, type Money } from '../format/money';
import type { Stage, StageRow } from './waterfall';

/** One bar: what is there from zero on, what goes off (or comes to it) from there, or what of it one party has. */
export interface Bar {
  readonly key: string;
  readonly kind: 'whole' | 'step' | 'share';
  readonly stage: Stage;
  /** Whose share; null for a stage. */
  readonly party: string | null;
  /** Signed as it goes into the sum. */
  readonly amount: Money;
  /** Ends of the bar in the last place of the currency. */
  readonly from: bigint;
  readonly to: bigint;
  /** The line to go to for the reason. */
  readonly line: SettlementLine | null;
}

const wholes: readonly Stage[] = ['takings', 'left'];
const steps: readonly Stage[] = ['refunds', 'tax', 'loss-in', 'charges'];
const shared: readonly Stage[] = ['shares', 'guarantees'];

/** The waterfall as bars: the takings, what goes off them one after the other, what is left, and whose it is. */
export function picture(rows: readonly StageRow[]): Bar[] {
  const bars: Bar[] = [];
  let level = 0n;
  for (const { stage, amount, lines } of rows) {
    const line = lines[0] ?? null;
    if (wholes.includes(stage)) {
      level = unitsOf(amount);
      bars.push({ key: stage, kind: 'whole', stage, party: null, amount, from: 0n, to: level, line });
    } else if (steps.includes(stage) && !isZero(amount)) {
      const to = level + unitsOf(amount);
      bars.push({ key: stage, kind: 'step', stage, party: null, amount, from: level, to, line });
      level = to;
    }
  }
  return [...bars, ...partsOf(rows.filter(({ stage }) => shared.includes(stage)).flatMap(({ lines }) => lines))];
}

/** What each party has after guarantees and caps, laid end to end as parts of what is left. */
function partsOf(lines: readonly SettlementLine[]): Bar[] {
  let level = 0n;
  return [...new Set(lines.map(({ party }) => party))].flatMap((party): Bar[] => {
    const own = lines.filter((line) => line.party === party);
    const amount = sum(own.map((line) => line.amount));
    if (party === null || amount === null) return [];
    const from = level;
    level += unitsOf(amount);
    return [{ key: `share ${party}`, kind: 'share', stage: 'shares', party, amount, from, to: level, line: own[0] ?? null }];
  });
}

/** The span that all bars need, zero included. */
export function spanOf(bars: readonly Bar[]): { readonly least: bigint; readonly most: bigint } {
  const ends = [0n, ...bars.flatMap(({ from, to }) => [from, to])];
  return { least: ends.reduce((one, other) => (one < other ? one : other)), most: ends.reduce((one, other) => (one > other ? one : other)) };
}

/** A step without its sign, for a label that says that it goes off. */
export function sizeOf({ amount }: Bar): Money {
  return unitsOf(amount) < 0n ? negated(amount) : amount;
}
