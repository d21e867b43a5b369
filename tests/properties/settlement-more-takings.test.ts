/**
 * What more money in a box does to the shares. By largest remainder two parties never lose by it; from three up one of them
 * may lose a unit (the Alabama paradox of apportionment), and never more than one in each pool.
 */
import fc from 'fast-check';
import { settle } from '#domain/settlement/settle';
import type { SettlementResult } from '#domain/settlement/types';
import type { AgreementVersion } from '#domain/terms/types';
import type { TaxRule } from '#domain/tax/types';
import { holds } from '#tests/support/property-runs';
import { arbitraryEvents, arbitraryTaxRules, arbitraryVersions, type BoxEvent } from '#tests/support/settlement-arbitrary';
import { count, inputs, operator, other, period, shares, site, version } from '#tests/support/settlement-inputs';
import { sharesOf } from '#tests/support/settlement-lines';
import { issueAll, span } from '#tests/support/settlement-timeline';

/** One version of terms with nothing but plain shares. */
const plainShares = arbitraryVersions(span).map(([first]): AgreementVersion[] => {
  if (first === undefined || first.terms.split.kind === 'bands') return [];
  return [{ ...first, terms: { ...first.terms, charges: [], guarantees: [], loss: 'carry', basis: 'counted' } }];
});

const someVersion = plainShares.filter((versions) => versions.length === 1);

/**
 * A tax of the whole, which is monotone; and one pool, because the way in which a tax is allocated to several of them may
 * itself take a unit from one when another earns more.
 */
const onePool = someVersion.map((versions) => versions.map((each) => ({ ...each, terms: { ...each.terms, grouping: 'site' as const } })));
const simpleTax = arbitraryTaxRules(span).map((rules) =>
  rules.filter((rule) => rule.method === 'inside' && rule.capPerMachineMonthMinor === null && rule.machineKinds === 'all').slice(0, 1),
);

const events = arbitraryEvents(span, { maxEvents: 14 }).filter((list) => list.length > 0);

/** The same months with more in one of the boxes. */
function withMore(versions: AgreementVersion[], taxRules: TaxRule[], { list, position, moreMinor }: { list: BoxEvent[]; position: number; moreMinor: bigint }) {
  const run = (more: bigint) =>
    issueAll(
      { versions, taxRules },
      list.map((event, index) => ({ event: index === position % list.length ? { ...event, coinMinor: event.coinMinor + more } : event, knownIn: 0 })),
    ).results;
  return { before: run(0n), after: run(moreMinor) };
}

/** What each party's share of a whole settlement went up by, and in how many pools it has one. */
function changes(before: SettlementResult, after: SettlementResult | undefined): { gainMinor: bigint; pools: number }[] {
  return before.parties.map(({ party, sharesMinor }, position) => ({
    gainMinor: (after?.parties[position]?.sharesMinor ?? 0n) - sharesMinor,
    pools: Math.max(
      1,
      ...[...before.periods, ...(after?.periods ?? [])].map(({ lines }) => lines.filter((line) => line.kind === 'share' && line.about.party === party).length),
    ),
  }));
}

const more = fc.record({ list: events, position: fc.nat({ max: 13 }), moreMinor: fc.oneof(fc.constant(1n), fc.bigInt({ min: 1n, max: 5000n })) });

/** A tax below zero that is carried makes a later settlement cheaper: with more in the earlier box there is less of it. */
const isCarried = (rule: TaxRule): boolean => rule.method === 'inside' && rule.negative === 'carry';
const carriedTax = simpleTax.filter((rules) => rules.some(isCarried));
const ownTax = simpleTax.filter((rules) => !rules.some(isCarried));

test('one pool, a tax that is carried: more in the box never costs a party more than one unit a settlement, all of them together', () => {
  holds(
    fc.property(onePool, carriedTax, more, (versions, taxRules, added) => {
      const { before, after } = withMore(versions, taxRules, added);
      const together = new Map<number, bigint>();
      before.forEach((result, index) => {
        changes(result, after[index]).forEach(({ gainMinor }, party) => {
          together.set(party, (together.get(party) ?? 0n) + gainMinor);
          expect(together.get(party)).toBeGreaterThanOrEqual(-BigInt(index + 1));
        });
      });
    }),
    { thousandths: 30 },
  );
});

test('one pool, with or without a tax of each period: more in the box never costs a party more than one unit', () => {
  holds(
    fc.property(onePool, ownTax, more, (versions, taxRules, added) => {
      const { before, after } = withMore(versions, taxRules, added);
      before.forEach((result, index) => {
        for (const { gainMinor } of changes(result, after[index])) expect(gainMinor).toBeGreaterThanOrEqual(-1n);
      });
    }),
    { thousandths: 30 },
  );
});

test('several pools without a tax: never more than one unit in each', () => {
  holds(
    fc.property(someVersion, more, (versions, added) => {
      const { before, after } = withMore(versions, [], added);
      before.forEach((result, index) => {
        for (const { gainMinor, pools } of changes(result, after[index])) expect(gainMinor).toBeGreaterThanOrEqual(-BigInt(pools));
      });
    }),
    { thousandths: 60 },
  );
});

test('two parties without a tax: more in the box never costs either of them anything', () => {
  const two = someVersion.filter(([first]) => first?.terms.parties.length === 2);
  holds(
    fc.property(two, more, (versions, added) => {
      const { before, after } = withMore(versions, [], added);
      before.forEach((result, index) => {
        for (const { gainMinor } of changes(result, after[index])) expect(gainMinor).toBeGreaterThanOrEqual(0n);
      });
    }),
    { thousandths: 60 },
  );
});

test('three parties: of eleven units the third gets one, of ten it gets two', () => {
  const thirds = version('2020-01-01', {
    parties: [
      { id: operator, role: 'operator' },
      { id: site, role: 'site' },
      { id: other, role: 'other' },
    ],
    split: { kind: 'shares', shares: shares([operator, '43'], [site, '43'], [other, '14']) },
  });
  const shared = (takingsMinor: bigint) =>
    sharesOf(settle(inputs(period('2026-01-01', '2026-02-01', { versions: [thirds], counts: [count('A', '2026-01-31', takingsMinor)] }))));
  expect(shared(10n)).toEqual({ [operator]: 4n, [site]: 4n, [other]: 2n });
  expect(shared(11n)).toEqual({ [operator]: 5n, [site]: 5n, [other]: 1n });
});
