import fc from 'fast-check';
import { addDays, localDate } from '#domain/calendar/local-date';
import { periodsTouching } from '#domain/calendar/periods';
import type { SettlementResult } from '#domain/settlement/types';
import type { AgreementVersion } from '#domain/terms/types';
import { casesOf, holds, printReach } from '#tests/support/property-runs';
import { arbitraryEvents, arbitraryTaxRules, arbitraryTerms, type Span } from '#tests/support/settlement-arbitrary';
import { firstDay, issueAll, periodDays, span, type Agreement } from '#tests/support/settlement-timeline';

/** Up to three versions, each from a day of its own. */
function arbitraryHistory(within: Span): fc.Arbitrary<AgreementVersion[]> {
  const later = fc.uniqueArray(fc.integer({ min: 0, max: within.days - 1 }), { maxLength: 2 });
  return fc.tuple(later, fc.array(arbitraryTerms, { minLength: 3, maxLength: 3 })).map(([days, terms]) => {
    const starts = [localDate('2020-01-01'), ...[...days].sort((first, second) => first - second).map((day) => addDays(within.from, day))];
    return starts.flatMap((startsOn, index): AgreementVersion[] => {
      const signed = terms[index];
      return signed === undefined ? [] : [{ id: `version-${index + 1}`, startsOn, terms: signed }];
    });
  });
}

const weeks = [0, 7, 14, 21, 28].map((offset) => ({ from: addDays(firstDay, offset), until: addDays(firstDay, offset + 7) }));
const months = periodsTouching({ kind: 'month' }, { from: firstDay, until: addDays(firstDay, span.days) });

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

const trial = { thousandths: 90 };
/** Over all cycles together. */
const reach = new Map<string, number>();
const note = (name: string, happened: boolean): void => void reach.set(name, (reach.get(name) ?? 0) + (happened ? 1 : 0));

describe.each([
  { cycle: 'weeks', periods: weeks, within: { from: firstDay, days: 35 } },
  { cycle: 'four weeks', periods: periodDays, within: span },
  { cycle: 'months', periods: months, within: span },
])('in a cycle of $cycle', ({ periods, within }) => {
  const agreement: fc.Arbitrary<Agreement> = fc.record({
    versions: arbitraryHistory(within),
    taxRules: arbitraryTaxRules(within),
    periods: fc.constant(periods),
  });
  const eventsWithDelay = arbitraryEvents(within, { maxEvents: 14 }).chain((events) =>
    fc.tuple(fc.constant(events), fc.array(fc.integer({ min: 0, max: periods.length }), { minLength: events.length, maxLength: events.length })),
  );

  test('late equals on time: whatever is known late, in any order, everyone ends with the same', () => {
    holds(
      fc.property(agreement, eventsWithDelay, (terms, [events, delays]) => {
        const onTime = issueAll(
          terms,
          events.map((event) => ({ event, knownIn: 0 })),
        );
        const delayed = issueAll(
          terms,
          events.map((event, index) => ({ event, knownIn: delays[index] ?? 0 })),
        );
        const again = delayed.results.filter((result) => result.periods.length > 1);
        const times = periods.map((_days, index) => delayed.results.filter((result) => result.periods.some(({ period }) => period.id === `period-${index + 1}`)).length);
        note('something is late', again.length > 0);
        note('late in several settlements', again.length > 1);
        note('a period is settled three times', times.some((number) => number > 2));
        note('two versions', terms.versions.length === 2);
        note('three versions', terms.versions.length === 3);
        note(
          'carries go into a difference',
          delayed.inputs.some(({ earlier, carriesIn }) => earlier.length > 0 && carriesIn.losses.length + carriesIn.chargeRests.length + carriesIn.negativeTaxes.length > 0),
        );
        expect(leftWith(delayed.results)).toEqual(leftWith(onTime.results));
      }),
      trial,
    );
  });
});

test('the cases reach what they are there for', () => {
  printReach(reach, casesOf(trial) * 3);
});
