/** Random terms, tax rules and months of counts for properties of the settlement: small, but with every corner in reach. */
import fc from 'fast-check';
import { addDays, localDate, type LocalDate } from '#domain/calendar/local-date';
import { fromBillionths } from '#domain/money/decimal';
import { checkTerms } from '#domain/terms/check-terms';
import type { TaxRule } from '#domain/tax/types';
import type { AgreementVersion, Charge, Guarantee, PartyShare, Split, Terms } from '#domain/terms/types';
import { operator, other, site, terms } from '#tests/support/settlement-inputs';

export const kinds = ['arcade', 'table'] as const;
export const tags = ['A', 'B', 'C', 'D'] as const;

const minor = (max: number) => fc.integer({ min: 0, max }).map(BigInt);
const percent = (min: number, max: number) =>
  fc
    .oneof(
      fc.integer({ min, max }).map((whole) => BigInt(whole) * 1_000_000_000n),
      fc.bigInt({ min: BigInt(min) * 1_000_000_000n, max: BigInt(max) * 1_000_000_000n }),
    )
    .map(fromBillionths);

/** Percentages that are exactly 100 in sum. */
function sharesFor(parties: readonly string[]): fc.Arbitrary<PartyShare[]> {
  const hundred = 100_000_000_000n;
  return fc
    .array(fc.oneof(fc.constantFrom(0n, 25_000_000_000n, 50_000_000_000n), fc.bigInt({ min: 0n, max: hundred })), {
      minLength: parties.length - 1,
      maxLength: parties.length - 1,
    })
    .map((cuts) => {
      const sorted = [...cuts].sort((first, second) => (first < second ? -1 : first > second ? 1 : 0));
      return parties.map((party, index) => ({ party, percent: fromBillionths((sorted[index] ?? hundred) - (sorted[index - 1] ?? 0n)) }));
    });
}

function splitFor(parties: readonly string[]): fc.Arbitrary<Split> {
  const shares = sharesFor(parties);
  const bands = fc
    .tuple(
      fc.uniqueArray(
        minor(200_000).filter((value) => value > 0n),
        { minLength: 0, maxLength: 2 },
      ),
      fc.array(shares, { minLength: 3, maxLength: 3 }),
    )
    .map(([cuts, lists]) => {
      const from = [0n, ...[...cuts].sort((first, second) => (first < second ? -1 : 1))];
      return from.map((fromMinor, index) => ({ fromMinor, toMinor: from[index + 1] ?? null, shares: lists[index] ?? [] }));
    });
  return fc.oneof(
    { weight: 2, arbitrary: shares.map((list): Split => ({ kind: 'shares', shares: list })) },
    {
      weight: 1,
      arbitrary: fc.record({
        kind: fc.constant('bands' as const),
        method: fc.constantFrom('marginal', 'whole'),
        scope: fc.constantFrom('agreement', 'pool'),
        per: fc.constantFrom('period', 'week', 'month'),
        bands,
      }),
    },
  );
}

function chargeFor(parties: readonly string[], index: number): fc.Arbitrary<Charge> {
  return fc.record({
    id: fc.constant(`charge-${index}`),
    title: fc.constant(`Charge ${index}`),
    to: fc.constantFrom(...parties),
    scope: fc.constantFrom('agreement', 'pool', 'machine'),
    rest: fc.constantFrom('lapse', 'carry'),
    amount: fc.oneof(
      fc.record({
        kind: fc.constant('amount' as const),
        per: fc.constantFrom('week', 'month', 'year', 'period', 'visit', 'machine-week', 'machine-month'),
        amountMinor: minor(20_000).map((value) => value + 1n),
      }),
      fc.record({
        kind: fc.constant('percentage' as const),
        of: fc.constantFrom('net-takings', 'cashless-takings', 'what-is-left'),
        percent: percent(1, 60),
      }),
    ),
  });
}

function guaranteeFor(parties: readonly string[], grouping: Terms['grouping'], index: number): fc.Arbitrary<Guarantee> {
  const common = {
    id: fc.constant(`guarantee-${index}`),
    party: fc.constant(parties[index % parties.length] ?? site),
    amountMinor: minor(80_000),
    per: fc.constantFrom('period', 'week', 'month'),
    scope: grouping === 'machine' ? fc.constantFrom('agreement', 'pool', 'machine') : fc.constantFrom('agreement', 'pool'),
  } as const;
  return fc.oneof(
    fc.record({ kind: fc.constant('at-least' as const), ...common, from: fc.constantFrom('others', 'operator') }),
    fc.record({ kind: fc.constant('at-most' as const), ...common, excessTo: fc.constantFrom(...parties) }),
  );
}

/** Terms that pass `checkTerms`. */
export const arbitraryTerms: fc.Arbitrary<Terms> = fc
  .record({ three: fc.boolean(), grouping: fc.constantFrom('site', 'kind', 'machine') })
  .chain(({ three, grouping }) => {
    const parties = three ? [operator, site, other] : [operator, site];
    return fc.record({
      parties: fc.constant(parties),
      grouping: fc.constant(grouping),
      split: splitFor(parties),
      charges: fc
        .tuple(chargeFor(parties, 0), chargeFor(parties, 1), fc.integer({ min: 0, max: 2 }))
        .map(([first, second, length]) => [first, second].slice(0, length)),
      guarantees: fc
        .tuple(guaranteeFor(parties, grouping, 1), guaranteeFor(parties, grouping, 2), fc.integer({ min: 0, max: 2 }))
        .map(([first, second, length]) => [first, second].slice(0, length)),
      basis: fc.constantFrom('counted', 'metered'),
      loss: fc.constantFrom('carry', 'share'),
      breakIns: fc.record({ borneBy: fc.constantFrom('all', 'operator', 'site') }),
      tax: fc.record({
        filedBy: fc.constantFrom('as-the-rule-says', 'operator', 'site'),
        borneBy: fc.constantFrom('as-the-rule-says', 'all', 'operator'),
      }),
      payout: fc.record({
        smallestMinor: fc.constantFrom(0n, 5000n),
        negative: fc.constantFrom('carry', 'claim'),
        smallestCoinMinor: fc.constantFrom(null, 5n),
      }),
      advances: fc.oneof(
        fc.constant({ kind: 'none' as const }),
        fc.record({ kind: fc.constant('fixed' as const), amountMinor: minor(9000).map((value) => value + 1n) }),
        fc.record({ kind: fc.constant('percentage' as const), percent: percent(1, 100) }),
      ),
    });
  })
  .map(({ parties, ...rest }) =>
    terms({
      ...rest,
      parties: parties.map((id) => ({ id, role: id === operator ? 'operator' : id === site ? 'site' : 'other' })),
      tokens: [{ tokenId: 'brass', valueMinor: 25n }],
    }),
  )
  .filter((candidate) => checkTerms(candidate, { currency: 'USD', limits: [] }).length === 0);

export interface Span {
  readonly from: LocalDate;
  readonly days: number;
}

const dayIn = ({ from, days }: Span) => fc.integer({ min: 0, max: days - 1 }).map((day) => addDays(from, day));

/** One or two versions, the second from a day within the span. */
export function arbitraryVersions(span: Span): fc.Arbitrary<AgreementVersion[]> {
  const first = arbitraryTerms.map((value): AgreementVersion => ({ id: 'version-1', startsOn: localDate('2020-01-01'), terms: value }));
  const second = fc.record({ id: fc.constant('version-2'), startsOn: dayIn(span), terms: arbitraryTerms });
  return fc.oneof({ weight: 2, arbitrary: first.map((only) => [only]) }, { weight: 1, arbitrary: fc.tuple(first, second) });
}

const rates = fc.array(percent(0, 20), { minLength: 1, maxLength: 3 });
const someKinds = fc.constantFrom('all' as const, ['arcade'], ['table']);

/** One tax with one or two dated rows of one method. */
function arbitraryTax(index: number, span: Span): fc.Arbitrary<TaxRule[]> {
  const base = {
    taxId: fc.constant(`tax-${index}`),
    areaId: fc.constant(`area-${index}`),
    title: fc.constant('Tax'),
    source: fc.constant('invented for tests'),
    filedBy: fc.constantFrom('operator', 'site'),
    borneBy: fc.constantFrom('all', 'all', 'operator'),
    breakIns: fc.constantFrom('in-base', 'not-in-base'),
    machineKinds: someKinds,
  } as const;
  const rated = {
    negative: fc.constantFrom('zero', 'carry', 'carry', 'carry'),
    capPerMachineMonthMinor: fc.oneof({ weight: 3, arbitrary: fc.constant(null) }, { weight: 1, arbitrary: minor(5000) }),
  } as const;
  const components = rates.map((list) => list.map((ratePercent, position) => ({ id: `part-${position}`, title: `Part ${position}`, ratePercent })));
  const dates = fc.oneof(fc.constant(null), dayIn(span));
  const rows = <Body extends object>(body: fc.Arbitrary<Body>) =>
    fc.tuple(body, body, dates).map(([first, second, change]) =>
      change === null
        ? [{ ...first, id: `rule-${index}-1`, from: localDate('2020-01-01'), until: null }]
        : [
            { ...first, id: `rule-${index}-1`, from: localDate('2020-01-01'), until: change },
            { ...second, id: `rule-${index}-2`, from: change, until: null },
          ],
    );
  const inside = fc.record({ ...base, ...rated, method: fc.constant('inside' as const), components });
  const onTakings = fc.record({
    ...base,
    ...rated,
    method: fc.constant('on-takings' as const),
    rounding: fc.constantFrom('apart', 'together'),
    components: fc
      .tuple(components, fc.array(someKinds, { minLength: 3, maxLength: 3 }))
      .map(([list, covered]) => list.map((part, position) => ({ ...part, machineKinds: covered[position] ?? 'all' }))),
  });
  const fixed = fc.record({
    ...base,
    method: fc.constant('fixed' as const),
    per: fc.constantFrom('month', 'year'),
    timing: fc.oneof(
      fc.constant({ kind: 'by-days-covered' as const }),
      fc.record({
        kind: fc.constant('when-due' as const),
        month: fc.integer({ min: 1, max: 4 }),
        day: fc.integer({ min: 1, max: 31 }),
        onPlacement: fc.boolean(),
      }),
    ),
    components: minor(4000).map((amountMinor) => [
      { id: 'part-0', title: 'Decal', amountMinor, placedLater: { month: 2, day: 1, amountMinor: 500n } },
    ]),
  });
  // Only the first tax may be inside the price: a machine has at most one such rule at a time.
  const methods: fc.Arbitrary<TaxRule[]>[] = [rows(onTakings), rows(onTakings), rows(fixed)];
  if (index === 0) methods.push(rows(inside), rows(inside), rows(inside));
  return fc.oneof(...methods);
}

export function arbitraryTaxRules(span: Span): fc.Arbitrary<TaxRule[]> {
  return fc.tuple(arbitraryTax(0, span), arbitraryTax(1, span), fc.constantFrom(0, 1, 2, 2)).map((all) => {
    const [first, second, number] = all;
    return [first, second].slice(0, number).flat();
  });
}

/** What happened to one machine on one day; coverage is worked out by who puts the events in order. */
export interface BoxEvent {
  readonly tag: string;
  readonly date: LocalDate;
  readonly coinMinor: bigint;
  readonly noteMinor: bigint;
  readonly meteredMinor: bigint | null;
  readonly pieces: number;
  readonly refundMinor: bigint;
  readonly refundBy: string;
  readonly cashlessMinor: bigint;
  readonly cashlessBackMinor: bigint;
  readonly stolenMinor: bigint;
}

/** Zero most of the time, so that each kind of event comes up alone and together. */
const seldom = (max: number) => fc.oneof({ weight: 3, arbitrary: fc.constant(0n) }, { weight: 1, arbitrary: minor(max) });

export function arbitraryEvents(span: Span, { maxEvents }: { maxEvents: number }): fc.Arbitrary<BoxEvent[]> {
  return fc.uniqueArray(
    fc.record({
      tag: fc.constantFrom(...tags),
      date: dayIn(span),
      coinMinor: fc.oneof(minor(50), minor(60_000)),
      noteMinor: seldom(100_000),
      meteredMinor: fc.oneof(fc.constant(null), minor(80_000), fc.bigInt({ min: -20_000n, max: 0n })),
      pieces: fc.integer({ min: 0, max: 9 }),
      refundMinor: seldom(90_000),
      refundBy: fc.constantFrom(site, operator),
      cashlessMinor: seldom(60_000),
      cashlessBackMinor: seldom(20_000),
      stolenMinor: seldom(30_000),
    }),
    { minLength: 0, maxLength: maxEvents, selector: (event) => `${event.tag} ${event.date}` },
  );
}
