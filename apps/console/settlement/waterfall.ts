import { detailKinds, type LineKind } from '#domain/settlement/lines';
import type { SettlementLine } from '../api/shapes';
import { isZero, negated, sum, type Money } from '../format/money';

/** The waterfall as a reader follows it: what came in, what goes off, what is left and whose it is, what is paid. */
export const stages = ['takings', 'refunds', 'tax', 'loss-in', 'charges', 'left', 'shares', 'loss-out', 'guarantees', 'operator-tax', 'payout', 'payable'] as const;
export type Stage = (typeof stages)[number];

export interface StageRow {
  readonly stage: Stage;
  /** What the stage comes to, signed as it goes into the sum below it. */
  readonly amount: Money;
  /** The lines that make it up. */
  readonly lines: readonly SettlementLine[];
  /** Lines that stand beside them and say how they came about. */
  readonly details: readonly SettlementLine[];
}

interface StageRule {
  /** The kinds that make up the amount; each unit of money is in one of them. */
  readonly sums: readonly LineKind[];
  readonly shows?: readonly LineKind[];
  readonly goesOff?: boolean;
  /** Shown even when it comes to nothing. */
  readonly always?: boolean;
}

const rules: Readonly<Record<Stage, StageRule>> = {
  takings: { sums: ['cash', 'metered-difference', 'tokens', 'cashless', 'break-in'], always: true },
  refunds: { sums: ['refund'], goesOff: true },
  tax: { sums: ['tax'], shows: ['tax-base', 'tax-taxable', 'tax-of-machine'], goesOff: true },
  'loss-in': { sums: ['loss-in'] },
  charges: { sums: ['charge'], shows: ['charge-rest'], goesOff: true },
  left: { sums: ['pool-left'], shows: ['pool-opening'], always: true },
  shares: { sums: ['share'], always: true },
  'loss-out': { sums: ['loss-out'] },
  guarantees: { sums: ['guarantee'] },
  'operator-tax': { sums: ['operator-tax'], goesOff: true },
  payout: {
    sums: ['payee-share', 'payee-charge', 'payee-refund', 'payee-tax', 'payee-break-in', 'payee-handed-cash', 'payee-advance', 'payee-carried-in'],
  },
  payable: { sums: ['payable'], always: true },
};

const zeroOf = (lines: readonly SettlementLine[]): Money | null => {
  const [first] = lines;
  return first === undefined ? null : (sum([first.amount, negated(first.amount)]) ?? null);
};

/** The rows of one block of lines: those of the period itself, or the differences of one earlier period. */
export function waterfall(lines: readonly SettlementLine[]): StageRow[] {
  const zero = zeroOf(lines);
  if (zero === null) return [];
  const rows = stages.flatMap((stage): StageRow[] => {
    const { sums, shows = [], goesOff = false, always = false } = rules[stage];
    const counted = lines.filter((line) => includes(sums, line.kind));
    const details = lines.filter((line) => includes(shows, line.kind));
    const total = sum(counted.map((line) => line.amount)) ?? zero;
    const isLeftOut = counted.length === 0 || (!always && isZero(total) && counted.every((line) => isZero(line.amount)));
    return isLeftOut ? [] : [{ stage, amount: goesOff ? negated(total) : total, lines: counted, details }];
  });
  return withoutEcho(rows);
}

/** A payout of one line says the same as the payable below it: it becomes the reason of that. */
function withoutEcho(rows: StageRow[]): StageRow[] {
  const payout = rows.find((row) => row.stage === 'payout');
  if (payout?.lines.length !== 1) return rows;
  return rows
    .filter((row) => row !== payout)
    .map((row) => (row.stage === 'payable' ? { ...row, details: payout.lines } : row));
}

/**
 * Lines of the period itself, the blocks of earlier periods that changed after they were issued (oldest first), and the
 * payout, which runs once over all of them. Without earlier blocks the payout simply ends the period's own waterfall.
 */
export function blocks(lines: readonly SettlementLine[], startsOn: string) {
  const payout = lines.filter((line) => line.step === 'payout');
  const others = lines.filter((line) => line.step !== 'payout');
  const own = others.filter((line) => line.periodStartsOn === startsOn);
  const starts = [...new Set(others.map((line) => line.periodStartsOn))].filter((start) => start !== startsOn).sort();
  if (starts.length === 0) return { own: [...own, ...payout], earlier: [], payout: [] };
  return { own, earlier: starts.map((start) => ({ startsOn: start, lines: others.filter((line) => line.periodStartsOn === start) })), payout };
}

/** Whether the line only shows how another one came about. */
export function isDetail(line: SettlementLine): boolean {
  return [...detailKinds].some((kind) => kind === line.kind);
}

function includes(kinds: readonly string[], kind: string): boolean {
  return kinds.includes(kind);
}
