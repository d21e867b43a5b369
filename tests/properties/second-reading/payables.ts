// What each payee is to be paid, and what is left standing for the next time.
import { exact, positive, round, smallest, sum } from './numbers';
import type { Taken } from './charges';
import type { Shares } from './guarantees';
import type { TaxLine } from './tax';
import { groupOf } from './takings';
import type { Party, SettlementInput } from './terms';

export interface Payable {
  party: Party;
  shareMinor: bigint;
  chargesMinor: bigint;
  refundsPaidMinor: bigint;
  taxFiledMinor: bigint;
  cashHeldMinor: bigint;
  breakInsBorneMinor: bigint;
  advanceRepaidMinor: bigint;
  carriedItemsMinor: bigint;
  payableMinor: bigint;
  paidOutMinor: bigint;
  carriedOutMinor: bigint;
}

export function payablesOf(input: SettlementInput, found: { shares: Shares; taken: readonly Taken[]; taxLines: readonly TaxLine[] }): Payable[] {
  const mine = (rows: readonly { party: Party; amountMinor: bigint }[], party: Party) => sum(rows.filter((row) => row.party === party).map((row) => row.amountMinor));
  return input.payees.map((party) => {
    const shareMinor = found.shares.get(party) ?? 0n;
    const chargesMinor = sum(found.taken.filter((taken) => taken.to === party).map((taken) => taken.amountMinor));
    const refundsPaidMinor = sum(input.refunds.filter((slip) => slip.paidBy === party).map((slip) => slip.amountMinor));
    const taxFiledMinor = party === input.site ? sum(found.taxLines.filter((line) => line.filedBy === 'site').map((line) => line.amountMinor)) : 0n;
    const cashHeldMinor = mine(input.cashHanded, party);
    const borne = input.breakIns.filter((theft) => input.versions[groupOf(input.versions, theft.date)]?.breakInBorneBy === party);
    const breakInsBorneMinor = sum(borne.map((theft) => theft.amountMinor));
    const advanceRepaidMinor = repaidBy(input, party, shareMinor);
    const carriedItemsMinor = mine(input.carriedItems, party);
    const owedMinor = shareMinor + chargesMinor + refundsPaidMinor + taxFiledMinor - cashHeldMinor - breakInsBorneMinor - advanceRepaidMinor;
    const payableMinor = owedMinor + carriedItemsMinor;
    const carries = payableMinor < 0n || (!input.final && payableMinor < input.smallestPayoutMinor);
    return {
      ...{ party, shareMinor, chargesMinor, refundsPaidMinor, taxFiledMinor, cashHeldMinor, breakInsBorneMinor, advanceRepaidMinor, carriedItemsMinor },
      ...{ payableMinor, paidOutMinor: carries ? 0n : payableMinor, carriedOutMinor: carries ? payableMinor : 0n },
    };
  });
}

/** Advances are repaid one after the other out of one positive share. */
function repaidBy(input: SettlementInput, party: Party, shareMinor: bigint): bigint {
  let repaidMinor = 0n;
  for (const advance of input.advances.filter((one) => one.party === party)) {
    const wantedMinor = 'percentage' in advance.repay ? round(exact(positive(shareMinor)).mul(advance.repay.percentage)) : advance.repay.amountMinor;
    repaidMinor += smallest([advance.openMinor, wantedMinor, positive(shareMinor) - repaidMinor]);
  }
  return repaidMinor;
}
