// What each payee is to be paid, and what is left standing for the next time.
import { exact, positive, ratio, round, smallest, sum } from './numbers';
import type { Credits, Party, PayoutInput } from './terms';

export interface Payable extends Credits {
  party: Party;
  cashHeldMinor: bigint;
  advanceRepaidMinor: bigint;
  repaid: Map<string, bigint>;
  carriedItemsMinor: bigint;
  payableMinor: bigint;
  outcome: 'due' | 'carried' | 'owed' | 'nothing';
  /** What is paid where only coins are; the payable itself stays as it is. */
  inCoinsMinor: bigint | null;
}

const nothing: Credits = { shareMinor: 0n, chargesMinor: 0n, refundsPaidMinor: 0n, taxFiledMinor: 0n, breakInsBorneMinor: 0n };

export function payablesOf(input: PayoutInput): Payable[] {
  const mine = (rows: readonly { party: Party; amountMinor: bigint }[], party: Party) => sum(rows.filter((row) => row.party === party).map((row) => row.amountMinor));
  return input.payees.map((party) => {
    const credits = input.credits.get(party) ?? nothing;
    const cashHeldMinor = mine(input.cashHanded, party);
    const repaid = repaidBy(input, party, credits.shareMinor);
    const advanceRepaidMinor = sum([...repaid.values()]);
    const carriedItemsMinor = mine(input.carriedItems, party);
    const creditMinor = credits.shareMinor + credits.chargesMinor + credits.refundsPaidMinor + credits.taxFiledMinor;
    const payableMinor = creditMinor - credits.breakInsBorneMinor - cashHeldMinor - advanceRepaidMinor + carriedItemsMinor;
    const outcome = outcomeOf(input, payableMinor);
    const inCoinsMinor = outcome === 'due' && input.smallestCoinMinor !== null ? roundedTo(input.smallestCoinMinor, payableMinor) : null;
    return { party, ...credits, cashHeldMinor, advanceRepaidMinor, repaid, carriedItemsMinor, payableMinor, outcome, inCoinsMinor };
  });
}

function outcomeOf(input: PayoutInput, payableMinor: bigint): Payable['outcome'] {
  if (payableMinor === 0n) return 'nothing';
  if (payableMinor < 0n) return input.carriesNegative && !input.final ? 'carried' : 'owed';
  return payableMinor < input.smallestPayoutMinor && !input.final ? 'carried' : 'due';
}

function roundedTo(coinMinor: bigint, amountMinor: bigint): bigint {
  return round(ratio({ of: amountMinor, by: coinMinor })) * coinMinor;
}

/** Advances are repaid one after the other out of one positive share and one agreed amount. */
function repaidBy(input: PayoutInput, party: Party, shareMinor: bigint): Map<string, bigint> {
  const { repay } = input;
  const repaid = new Map<string, bigint>();
  if (repay === 'nothing') return repaid;
  const agreedMinor = 'percentage' in repay ? round(exact(positive(shareMinor)).mul(repay.percentage)) : repay.amountMinor;
  let leftMinor = smallest([agreedMinor, positive(shareMinor)]);
  for (const advance of input.advances.filter((one) => one.party === party)) {
    const amountMinor = smallest([advance.openMinor, leftMinor]);
    leftMinor -= amountMinor;
    repaid.set(advance.name, amountMinor);
  }
  return repaid;
}
