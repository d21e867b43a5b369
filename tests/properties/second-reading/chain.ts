// Settlement after settlement by the second reading, each from its own carries and its own earlier results.
import { limitsOf, payoutInput, periodInput } from './adapter';
import { type Figures, figuresOfSecond, minus, sumOf } from './figures';
import { type Broken, brokenAnew, brokenLimits } from './limits';
import { sum } from './numbers';
import { type Payable, payablesOf } from './payables';
import { type PeriodSettlement, settlePeriod } from './settle';
import type { Carry, Credits, Party, PeriodInput } from './terms';
import type { Issued, Timeline } from './timeline';

export interface SecondBlock {
  input: PeriodInput;
  settled: PeriodSettlement;
  /** What the period was when it was settled last. */
  before: PeriodSettlement | undefined;
  /** What is new against everything issued for that period before. */
  figures: Figures;
}

export interface SecondSettlement {
  blocks: SecondBlock[];
  payables: Payable[];
  broken: Broken[];
}

export const nothingCarried: Carry = { losses: [], rests: [], negativeTax: new Map(), chargedDays: [] };

/** The same settlements again. Of the engine's work only the order of periods is taken over, and what people did. */
export function issueAgain(issued: readonly Issued[], advances: Timeline['advances']): SecondSettlement[] {
  const latest: PeriodSettlement[] = [];
  const settlements: SecondSettlement[] = [];
  for (const { inputs, firstPeriod } of issued) {
    const periods = [...inputs.earlier.map((one) => one.inputs), inputs.current];
    const credits = new Map<Party, Credits>();
    const blocks = periods.map((given, offset) => {
      const place = firstPeriod + offset;
      const input = periodInput(given, latest[place - 1]?.carriedOut ?? nothingCarried);
      const settled = settlePeriod(input);
      const before = latest[place];
      latest[place] = settled;
      addTo(credits, settled.credits, 1n);
      if (before !== undefined) addTo(credits, before.credits, -1n);
      return { input, settled, before, figures: minus(figuresOfSecond(settled), before === undefined ? new Map() : figuresOfSecond(before)) };
    });
    const payables = payablesOf(payoutInput(inputs, { credits, carriedItems: carriedBy(settlements.at(-1)), advances: openAfter(advances, settlements) }));
    const repaidMinor = sum(payables.map((payable) => payable.advanceRepaidMinor));
    // An issued period is looked at again when it is divided anew; advances are repaid by the settlement of today only.
    const broken = blocks.flatMap(({ input, settled, before }, place) => {
      const given = periods[place];
      const isOwn = place === blocks.length - 1;
      if (given === undefined) return [];
      return before === undefined ? brokenLimits(limitsOf(given), input.site, settled, isOwn ? repaidMinor : 0n) : brokenAnew(limitsOf(given), input.site, before, settled);
    });
    settlements.push({ blocks, payables, broken });
  }
  return settlements;
}

function addTo(total: Map<Party, Credits>, credits: ReadonlyMap<Party, Credits>, times: bigint): void {
  for (const [party, one] of credits) {
    const before = total.get(party);
    total.set(party, {
      shareMinor: (before?.shareMinor ?? 0n) + times * one.shareMinor,
      chargesMinor: (before?.chargesMinor ?? 0n) + times * one.chargesMinor,
      refundsPaidMinor: (before?.refundsPaidMinor ?? 0n) + times * one.refundsPaidMinor,
      taxFiledMinor: (before?.taxFiledMinor ?? 0n) + times * one.taxFiledMinor,
      breakInsBorneMinor: (before?.breakInsBorneMinor ?? 0n) + times * one.breakInsBorneMinor,
    });
  }
}

function carriedBy(last: SecondSettlement | undefined): { party: Party; amountMinor: bigint }[] {
  return (last?.payables ?? []).filter((payable) => payable.outcome === 'carried').map(({ party, payableMinor }) => ({ party, amountMinor: payableMinor }));
}

/** Advances with what earlier settlements of this reading left open of them. */
function openAfter(advances: Timeline['advances'], settlements: readonly SecondSettlement[]): { name: string; party: Party; openMinor: bigint }[] {
  const repaid = sumOf(settlements.flatMap((settlement) => settlement.payables.map((payable) => payable.repaid)));
  return advances.map(({ id, party, openMinor }) => ({ name: id, party, openMinor: openMinor - (repaid.get(id) ?? 0n) }));
}
