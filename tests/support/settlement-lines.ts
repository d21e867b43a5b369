/** Reads figures out of a settlement for tests. */
import type { LineKind } from '#domain/settlement/lines';
import type { Payable, SettlementResult } from '#domain/settlement/types';

/** Amounts by key of all lines of one kind, over all periods and the payout. */
export function linesOf(result: SettlementResult, kind: LineKind): Record<string, bigint> {
  const lines = [...result.periods.flatMap((period) => period.lines), ...result.payoutLines];
  return Object.fromEntries(lines.filter((line) => line.kind === kind).map((line) => [line.key, line.amountMinor]));
}

/** Shares after guarantees, by party. */
export function sharesOf(result: SettlementResult): Record<string, bigint> {
  return Object.fromEntries(result.parties.map((party) => [party.party, party.sharesMinor]));
}

export function payableTo(result: SettlementResult, party: string): Payable {
  const payable = result.payables.find((candidate) => candidate.party === party);
  if (payable === undefined) throw new Error(`nothing is payable to ${party}`);
  return payable;
}

/** What the settlement's own period leaves to the next. */
export function carriesOf(result: SettlementResult) {
  const period = result.periods.at(-1);
  if (period === undefined) throw new Error('a settlement has a period');
  return period.carriesOut;
}
