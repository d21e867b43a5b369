/**
 * Adds up what came out of each machine in each segment of the period. This is the only place that looks at single
 * counts, so it stays free of fractions and of needless objects: one pass, whole minor units.
 */
import type { Days } from '#domain/calendar/day-ranges';
import { toDayNumber } from '#domain/calendar/local-date';
import { segmentIndexOf, type Cut, type Group } from '#domain/settlement/segments';
import type { BreakInInput, CashlessInput, CountInput, MachineInput, PeriodInputs, RefundSlipInput } from '#domain/settlement/types';

/** One machine in one segment. */
export interface Cell {
  cashMinor: bigint;
  meteredDifferenceMinor: bigint;
  tokensMinor: bigint;
  cashlessMinor: bigint;
  /** All stolen cash, and the part of it that a party makes good. */
  stolenMinor: bigint;
  madeGoodMinor: bigint;
  refundsMinor: bigint;
  readonly covered: Days[];
  readonly counts: CountInput[];
  readonly slips: RefundSlipInput[];
  readonly cashless: CashlessInput[];
  readonly breakIns: BreakInInput[];
}

export interface MachineCells {
  readonly machine: MachineInput;
  /** One per segment; null where nothing happened. */
  readonly cells: (Cell | null)[];
}

/** Machines in the order given, each with its cells. */
export function sumUp(inputs: PeriodInputs, cut: Cut): MachineCells[] {
  const machines = inputs.machines.map((machine) => ({ machine, cells: new Array<Cell | null>(cut.segments.length).fill(null) }));
  const byId = new Map(machines.map((entry) => [entry.machine.id, entry]));
  const place = (item: { readonly machineId: string; readonly accountingDate: CountInput['accountingDate'] }): Placed => {
    const entry = byId.get(item.machineId);
    if (entry === undefined) throw new Error(`Machine ${item.machineId} is not among the machines of the period`);
    const index = cut.segments.length === 1 ? 0 : segmentIndexOf(cut.segments, toDayNumber(item.accountingDate));
    const cell = (entry.cells[index] ??= emptyCell());
    return { cell, group: groupAt(cut, index) };
  };
  for (const count of inputs.counts) addCount(place(count), count);
  for (const slip of inputs.refundSlips) addSlip(place(slip), slip);
  for (const item of inputs.cashless) addCashless(place(item), item);
  for (const item of inputs.breakIns) addBreakIn(place(item), item);
  return machines;
}

interface Placed {
  readonly cell: Cell;
  readonly group: Group;
}

function addCount({ cell, group }: Placed, count: CountInput): void {
  const counted = count.coinMinor + count.noteMinor;
  cell.cashMinor += counted;
  if (group.terms.basis === 'metered' && count.meteredMinor !== null) cell.meteredDifferenceMinor += count.meteredMinor - counted;
  for (const token of count.tokens) cell.tokensMinor += BigInt(token.pieces) * (group.tokenValues.get(token.tokenId) ?? 0n);
  cell.covered.push({ from: toDayNumber(count.coveredFrom), until: toDayNumber(count.coveredUntil) });
  cell.counts.push(count);
}

function addSlip({ cell }: Placed, slip: RefundSlipInput): void {
  cell.refundsMinor += slip.amountMinor;
  cell.slips.push(slip);
}

function addCashless({ cell }: Placed, item: CashlessInput): void {
  cell.cashlessMinor += item.grossMinor - item.refundedMinor;
  cell.cashless.push(item);
}

/**
 * Stolen cash is no takings unless somebody makes it good. The meters have seen it, though: with basis `metered` it is
 * taken out of the metered difference, so that both bases treat it alike.
 */
function addBreakIn({ cell, group }: Placed, item: BreakInInput): void {
  cell.stolenMinor += item.amountMinor;
  if (group.terms.basis === 'metered') cell.meteredDifferenceMinor -= item.amountMinor;
  if (group.terms.breakIns.borneBy !== 'all') cell.madeGoodMinor += item.amountMinor;
  cell.breakIns.push(item);
}

export function takingsOf(cell: Cell): bigint {
  return cell.cashMinor + cell.meteredDifferenceMinor + cell.tokensMinor + cell.cashlessMinor + cell.madeGoodMinor;
}

export function netTakingsOf(cell: Cell): bigint {
  return takingsOf(cell) - cell.refundsMinor;
}

/** Several segments of one machine taken together. */
export function mergeCells(cells: readonly Cell[]): Cell | null {
  const [first, ...others] = cells;
  if (first === undefined) return null;
  if (others.length === 0) return first;
  const merged = emptyCell();
  for (const cell of cells) {
    merged.cashMinor += cell.cashMinor;
    merged.meteredDifferenceMinor += cell.meteredDifferenceMinor;
    merged.tokensMinor += cell.tokensMinor;
    merged.cashlessMinor += cell.cashlessMinor;
    merged.stolenMinor += cell.stolenMinor;
    merged.madeGoodMinor += cell.madeGoodMinor;
    merged.refundsMinor += cell.refundsMinor;
    append(merged.covered, cell.covered);
    append(merged.counts, cell.counts);
    append(merged.slips, cell.slips);
    append(merged.cashless, cell.cashless);
    append(merged.breakIns, cell.breakIns);
  }
  return merged;
}

/** Not by spreading into push: a million counts would not fit on the stack. */
function append<Item>(target: Item[], items: readonly Item[]): void {
  for (const item of items) target.push(item);
}

function emptyCell(): Cell {
  return {
    cashMinor: 0n,
    meteredDifferenceMinor: 0n,
    tokensMinor: 0n,
    cashlessMinor: 0n,
    stolenMinor: 0n,
    madeGoodMinor: 0n,
    refundsMinor: 0n,
    covered: [],
    counts: [],
    slips: [],
    cashless: [],
    breakIns: [],
  };
}

function groupAt(cut: Cut, segmentIndex: number): Group {
  const group = cut.groups[cut.segments[segmentIndex]?.groupIndex ?? -1];
  if (group === undefined) throw new Error('Every segment belongs to a group');
  return group;
}
