import fc from 'fast-check';
import type { SettlementResult } from '#domain/settlement/types';
import { arbitraryEvents, arbitraryTaxRules, arbitraryVersions } from '#tests/support/settlement-arbitrary';
import { issueAll, periodDays, span, type Agreement } from '#tests/support/settlement-timeline';

const numRuns = Number(process.env['SETTLEMENT_CASES'] ?? 200);

const agreement: fc.Arbitrary<Agreement> = fc.record({ versions: arbitraryVersions(span), taxRules: arbitraryTaxRules(span) });
const eventsWithDelay = arbitraryEvents(span, { maxEvents: 14 }).chain((events) =>
  fc.tuple(fc.constant(events), fc.array(fc.integer({ min: 0, max: periodDays.length }), { minLength: events.length, maxLength: events.length })),
);

/** Everything that all settlements together left each party with, and what goes on to the next period. */
function leftWith(results: readonly SettlementResult[]) {
  const perParty = new Map<
    string,
    { sharesMinor: bigint; chargesMinor: bigint; refundsPaidMinor: bigint; taxFiledMinor: bigint; breakInsMinor: bigint }
  >();
  const perAccount = new Map<string, bigint>();
  for (const result of results) {
    for (const { party, sharesMinor, chargesMinor } of result.parties) {
      const sums = perParty.get(party) ?? { sharesMinor: 0n, chargesMinor: 0n, refundsPaidMinor: 0n, taxFiledMinor: 0n, breakInsMinor: 0n };
      const payable = result.payables.find((candidate) => candidate.party === party);
      perParty.set(party, {
        sharesMinor: sums.sharesMinor + sharesMinor,
        chargesMinor: sums.chargesMinor + chargesMinor,
        refundsPaidMinor: sums.refundsPaidMinor + (payable?.refundsPaidMinor ?? 0n),
        taxFiledMinor: sums.taxFiledMinor + (payable?.taxFiledMinor ?? 0n),
        breakInsMinor: sums.breakInsMinor + (payable?.breakInsMinor ?? 0n),
      });
    }
    for (const { account, amountMinor } of result.postings) {
      const key = `${account.code} ${account.holderId ?? ''}`;
      perAccount.set(key, (perAccount.get(key) ?? 0n) + amountMinor);
    }
  }
  return {
    perParty: Object.fromEntries(perParty),
    perAccount: Object.fromEntries([...perAccount].filter(([, amountMinor]) => amountMinor !== 0n)),
    takings: results.reduce((sum, result) => sum + result.totals.takingsMinor, 0n),
    tax: results.reduce((sum, result) => sum + result.totals.taxBeforeSplitMinor + result.totals.operatorTaxMinor, 0n),
    carries: results.at(-1)?.periods.at(-1)?.carriesOut,
  };
}

test('late equals on time: whatever is known late, in any order, everyone ends with the same', () => {
  let late = 0;
  fc.assert(
    fc.property(agreement, eventsWithDelay, (terms, [events, delays]) => {
      const onTime = issueAll(
        terms,
        events.map((event) => ({ event, knownIn: 0 })),
      );
      const delayed = issueAll(
        terms,
        events.map((event, index) => ({ event, knownIn: delays[index] ?? 0 })),
      );
      late += delayed.results.some((result) => result.periods.length > 1) ? 1 : 0;
      expect(leftWith(delayed.results)).toEqual(leftWith(onTime.results));
    }),
    { numRuns },
  );
  expect(late).toBeGreaterThan(numRuns / 4);
});
