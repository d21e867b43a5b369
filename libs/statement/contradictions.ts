/** The sums that a statement's reader will do. A statement on which they fail must not be signed. */
import type { StatementDocument, Waterfall } from '#statement/document';

/** What does not add up, in words for the log; empty when everything does. */
export function contradictions(document: StatementDocument): string[] {
  const found: string[] = [];
  const expectEqual = (what: string, printed: bigint, computed: bigint): void => {
    if (printed !== computed) found.push(`${what}: printed ${printed}, adds up to ${computed}`);
  };
  for (const machine of document.machines) {
    const takings = machine.coinMinor + machine.noteMinor + machine.cashlessMinor + machine.tokenMinor + machine.adjustmentMinor;
    expectEqual(`net takings of machine ${machine.machineTag}`, machine.netMinor, takings - machine.refundsMinor);
  }
  expectEqual(
    'net takings of all pools against all machines',
    sum(document.waterfalls.map(({ netTakingsMinor }) => netTakingsMinor)),
    sum(document.machines.map(({ netMinor }) => netMinor)),
  );
  document.waterfalls.forEach((waterfall, index) => {
    expectEqual(`left to share in pool ${index + 1}`, waterfall.leftMinor, leftOf(waterfall));
    expectEqual(`shares in pool ${index + 1}`, sum(waterfall.shares.map(({ amountMinor }) => amountMinor)), waterfall.leftMinor);
  });
  for (const { label, moves } of document.guarantees) {
    expectEqual(`guarantee "${label}"`, sum(moves.map(({ amountMinor }) => amountMinor)), 0n);
  }
  const ofKind = (kind: string): bigint => sum(document.payable.filter((line) => line.kind === kind).map(({ amountMinor }) => amountMinor));
  expectEqual('share in the balance', ofKind('share'), payeeAmount(document.waterfalls.flatMap(({ shares }) => shares)));
  expectEqual('guarantees in the balance', ofKind('guarantee'), payeeAmount(document.guarantees.flatMap(({ moves }) => moves)));
  expectEqual('earlier periods in the balance', ofKind('earlier-period'), sum(document.earlierPeriods.map(({ forPayeeMinor }) => forPayeeMinor)));
  expectEqual('balance', document.payableMinor, sum(document.payable.map(({ amountMinor }) => amountMinor)));
  expectEqual('amount due', document.dueMinor, document.payableMinor - document.carriedForwardMinor);
  if (document.advance) {
    const { openBeforeMinor, repaidMinor, openAfterMinor } = document.advance;
    expectEqual('open advance', openAfterMinor, openBeforeMinor - repaidMinor);
    expectEqual('advance repaid in the balance', -ofKind('advance-repaid'), repaidMinor);
  }
  return found;
}

function leftOf(waterfall: Waterfall): bigint {
  const taxes = sum(waterfall.taxes.map(({ amountMinor }) => amountMinor));
  const charges = sum(waterfall.charges.map(({ amountMinor }) => amountMinor));
  return waterfall.netTakingsMinor + waterfall.lossBroughtForwardMinor - taxes - charges - waterfall.lossCarriedForwardMinor;
}

function payeeAmount(amounts: readonly { isPayee: boolean; amountMinor: bigint }[]): bigint {
  return sum(amounts.filter(({ isPayee }) => isPayee).map(({ amountMinor }) => amountMinor));
}

function sum(amounts: readonly bigint[]): bigint {
  return amounts.reduce((total, amount) => total + amount, 0n);
}
