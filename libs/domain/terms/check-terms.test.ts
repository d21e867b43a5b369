import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { checkTerms } from '#domain/terms/check-terms';
import type { LawLimit } from '#domain/tax/types';
import type { Terms } from '#domain/terms/types';
import { charge, operator, shares, site, terms } from '#tests/support/settlement-inputs';

function problemsOf(changes: Partial<Terms>, limits: readonly LawLimit[] = []) {
  return checkTerms(terms(changes), { currency: 'USD', limits }).map(({ pointer, code }) => `${pointer} ${code}`);
}

const half = { fromMinor: 0n, toMinor: null, shares: shares([operator, '50'], [site, '50']) };
const atLeast = { id: 'g', kind: 'at-least', party: site, amountMinor: 100n, per: 'period', scope: 'agreement', from: 'others' } as const;
const atMost = { id: 'h', kind: 'at-most', party: site, amountMinor: 100n, per: 'period', scope: 'agreement', excessTo: operator } as const;

test('plain terms have no problems', () => {
  expect(problemsOf({})).toEqual([]);
  expect(problemsOf({ charges: [charge()], guarantees: [atLeast, atMost], advances: { kind: 'percentage', percent: decimal('100') } })).toEqual([]);
  expect(problemsOf({ split: { kind: 'shares', shares: shares([operator, '33.333333333'], [site, '66.666666667']) } })).toEqual([]);
});

const bands = (...list: readonly { fromMinor: bigint; toMinor: bigint | null; shares: ReturnType<typeof shares> }[]): Partial<Terms> => ({
  split: { kind: 'bands', method: 'marginal', scope: 'agreement', per: 'period', bands: list },
});

test.each<[string, Partial<Terms>, string[]]>([
  ["a currency that is not the site's", { currency: 'EUR' }, ['/currency currency-not-of-the-site']],
  [
    'two operators',
    {
      parties: [
        { id: operator, role: 'operator' },
        { id: 'x', role: 'operator' },
        { id: site, role: 'site' },
      ],
    },
    ['/parties needs-one-operator'],
  ],
  [
    'a party twice',
    {
      parties: [
        { id: operator, role: 'operator' },
        { id: site, role: 'site' },
        { id: site, role: 'other' },
      ],
    },
    ['/parties/2/id party-listed-twice'],
  ],
  ['weekday 0', { cycle: { kind: 'week', startsOnWeekday: 0 } }, ['/cycle/startsOnWeekday weekday-out-of-range']],
  ['weekday 1.5', { cycle: { kind: 'week', startsOnWeekday: 1.5 } }, ['/cycle/startsOnWeekday weekday-out-of-range']],
  ['a token worth less than nothing', { tokens: [{ tokenId: 't', valueMinor: -1n }] }, ['/tokens/0/valueMinor amount-out-of-range']],
  [
    'a token twice',
    {
      tokens: [
        { tokenId: 't', valueMinor: 1n },
        { tokenId: 't', valueMinor: 2n },
      ],
    },
    ['/tokens/1/tokenId token-listed-twice'],
  ],
  ['a charge to a stranger', { charges: [charge({ to: 'stranger' })] }, ['/charges/0/to party-unknown']],
  [
    'a charge of nothing',
    { charges: [charge({ amount: { kind: 'amount', per: 'week', amountMinor: 0n } })] },
    ['/charges/0/amount/amountMinor amount-out-of-range'],
  ],
  [
    'a charge of 10^15 and one',
    { charges: [charge({ amount: { kind: 'amount', per: 'week', amountMinor: 10n ** 15n + 1n } })] },
    ['/charges/0/amount/amountMinor amount-out-of-range'],
  ],
  [
    'a charge of more than everything',
    { charges: [charge({ amount: { kind: 'percentage', of: 'net-takings', percent: decimal('100.000000001') } })] },
    ['/charges/0/amount/percent percent-out-of-range'],
  ],
  ['a charge without a name', { charges: [charge({ title: ' ' })] }, ['/charges/0/title title-missing']],
  ['two charges under one id', { charges: [charge(), charge()] }, ['/charges/1/id id-used-twice']],
  [
    'a part of what is left of a machine',
    { charges: [charge({ scope: 'machine', amount: { kind: 'percentage', of: 'what-is-left', percent: decimal('5') } })] },
    ['/charges/0/scope machine-has-no-pool-of-its-own'],
  ],
  [
    'shares of 99.999999999',
    { split: { kind: 'shares', shares: shares([operator, '50'], [site, '49.999999999']) } },
    ['/split/shares shares-not-hundred'],
  ],
  ['no shares', { split: { kind: 'shares', shares: [] } }, ['/split/shares shares-not-hundred']],
  [
    'a share of a stranger',
    { split: { kind: 'shares', shares: shares([operator, '50'], ['stranger', '50']) } },
    ['/split/shares/1/party party-unknown'],
  ],
  [
    'a share below zero',
    { split: { kind: 'shares', shares: shares([operator, '101'], [site, '-1']) } },
    ['/split/shares/0/percent percent-out-of-range', '/split/shares/1/percent percent-out-of-range'],
  ],
  [
    'a party with two shares',
    { split: { kind: 'shares', shares: shares([operator, '50'], [operator, '50']) } },
    ['/split/shares/1/party party-listed-twice'],
  ],
  ['no bands', bands(), ['/split/bands bands-missing']],
  ['bands that do not start at zero', bands({ ...half, fromMinor: 5n }), ['/split/bands/0/fromMinor bands-must-start-at-zero']],
  ['a gap between bands', bands({ ...half, toMinor: 5n }, { ...half, fromMinor: 6n }), ['/split/bands/0/toMinor bands-gap-or-overlap']],
  ['bands that overlap', bands({ ...half, toMinor: 7n }, { ...half, fromMinor: 6n }), ['/split/bands/0/toMinor bands-gap-or-overlap']],
  ['a band that ends where it begins', bands({ ...half, toMinor: 0n }, half), ['/split/bands/0/toMinor bands-gap-or-overlap']],
  ['an open band in the middle', bands(half, { ...half, fromMinor: 6n }), ['/split/bands/0/toMinor bands-gap-or-overlap']],
  ['a last band with an end', bands({ ...half, toMinor: 7n }), ['/split/bands/0/toMinor last-band-must-be-open']],
  ['a band whose shares are 90', bands({ ...half, shares: shares([operator, '50'], [site, '40']) }), ['/split/bands/0/shares shares-not-hundred']],
  [
    'a guarantee for a party not in the split',
    { parties: [...terms().parties, { id: 'x', role: 'other' }], guarantees: [{ ...atLeast, party: 'x' }] },
    ['/guarantees/0/party party-not-in-split'],
  ],
  ['a guarantee of less than nothing', { guarantees: [{ ...atLeast, amountMinor: -1n }] }, ['/guarantees/0/amountMinor amount-out-of-range']],
  [
    'a guarantee per machine in a common pool',
    { guarantees: [{ ...atLeast, scope: 'machine' }] },
    ['/guarantees/0/scope machine-has-no-pool-of-its-own'],
  ],
  [
    'the operator guaranteed by itself',
    { guarantees: [{ ...atLeast, party: operator, from: 'operator' }] },
    ['/guarantees/0/from guarantee-from-itself'],
  ],
  ['an excess that goes back to its party', { guarantees: [{ ...atMost, excessTo: site }] }, ['/guarantees/0/excessTo guarantee-from-itself']],
  [
    'two caps that pass their excess to each other',
    { guarantees: [atMost, { ...atMost, id: 'i', party: operator, excessTo: site, scope: 'pool' }] },
    ['/guarantees/1/excessTo excess-in-a-circle'],
  ],
  ['an excess to a stranger', { guarantees: [{ ...atMost, excessTo: 'stranger' }] }, ['/guarantees/0/excessTo party-unknown']],
  ['the same guarantee twice', { guarantees: [atLeast, { ...atLeast, id: 'g2' }] }, ['/guarantees/1 guarantee-given-twice']],
  ['two guarantees under one id', { guarantees: [atLeast, { ...atMost, id: 'g' }] }, ['/guarantees/1/id id-used-twice']],
  ['a guarantee above the cap', { guarantees: [{ ...atLeast, amountMinor: 101n }, atMost] }, ['/guarantees/0/amountMinor guarantee-above-cap']],
  ['an advance worked off by nothing', { advances: { kind: 'fixed', amountMinor: 0n } }, ['/advances/amountMinor amount-out-of-range']],
  ['an advance worked off by 0 %', { advances: { kind: 'percentage', percent: decimal('0') } }, ['/advances/percent percent-out-of-range']],
  [
    'a smallest payout below zero',
    { payout: { smallestMinor: -1n, negative: 'carry', smallestCoinMinor: null } },
    ['/payout/smallestMinor amount-out-of-range'],
  ],
  [
    'a coin of nothing',
    { payout: { smallestMinor: 0n, negative: 'carry', smallestCoinMinor: 0n } },
    ['/payout/smallestCoinMinor amount-out-of-range'],
  ],
])('%s is refused', (_title, changes, expected) => {
  expect(problemsOf(changes)).toEqual(expected);
});

const dated = { id: 'l', areaId: 'area', source: 'invented for tests', from: localDate('2020-01-01'), until: null };

describe('the law of the place', () => {
  // Texas Occupations Code 2153.205: the site gets at most half; a 55 % site share is refused.
  test('55 % for the site where half is the most', () => {
    const limit: LawLimit = { ...dated, kind: 'highest-site-share', percent: decimal('50') };
    expect(problemsOf({ split: { kind: 'shares', shares: shares([operator, '45'], [site, '55']) } }, [limit])).toEqual([
      '/split/shares/1/percent law-highest-site-share',
    ]);
    expect(problemsOf({}, [limit])).toEqual([]);
  });

  test('another split than the fixed one', () => {
    const limit: LawLimit = { ...dated, kind: 'fixed-split', operatorPercent: decimal('60'), sitePercent: decimal('40') };
    expect(problemsOf({}, [limit])).toEqual(['/split/shares law-fixed-split']);
    expect(problemsOf({ split: { kind: 'shares', shares: shares([operator, '60'], [site, '40']) } }, [limit])).toEqual([]);
  });

  test('advances where there may be none, naming the source', () => {
    const limit: LawLimit = { ...dated, kind: 'no-advances' };
    expect(checkTerms(terms({ advances: { kind: 'fixed', amountMinor: 5n } }), { currency: 'USD', limits: [limit] })).toEqual([
      { pointer: '/advances', code: 'law-no-advances', parameters: { source: 'invented for tests' } },
    ]);
  });
});

describe('what may be signed although it looks like a mistake', () => {
  const three = { parties: [...terms().parties, { id: 'x', role: 'other' } as const] };
  const threeWays: Terms['split'] = { kind: 'shares', shares: shares([operator, '40'], [site, '40'], ['x', '20']) };

  test.each<[string, Partial<Terms>]>([
    ...[1, 2, 3, 4, 5, 6, 7].map((startsOnWeekday): [string, Partial<Terms>] => [`weekday ${startsOnWeekday}`, { cycle: { kind: 'week', startsOnWeekday } }]),
    ['a token worth nothing', { tokens: [{ tokenId: 't', valueMinor: 0n }, { tokenId: 'u', valueMinor: 10n ** 15n }] }],
    ['a share of nothing and one of everything', { split: { kind: 'shares', shares: shares([operator, '100'], [site, '0']) } }],
    ['two charges', { charges: [charge(), charge({ id: 'b', amount: { kind: 'amount', per: 'week', amountMinor: 10n ** 15n } })] }],
    ['a charge of everything', { charges: [charge({ amount: { kind: 'percentage', of: 'what-is-left', percent: decimal('100') } })] }],
    ['a part of what is left in a pool', { charges: [charge({ scope: 'pool', amount: { kind: 'percentage', of: 'what-is-left', percent: decimal('5') } })] }],
    ['a part of the takings of a machine', { charges: [charge({ scope: 'machine', amount: { kind: 'percentage', of: 'net-takings', percent: decimal('5') } })] }],
    ['bands that touch', bands({ ...half, toMinor: 5n }, { ...half, fromMinor: 5n, toMinor: 6n }, { ...half, fromMinor: 6n })],
    ['a guarantee per machine where each has a pool', { grouping: 'machine', guarantees: [{ ...atLeast, scope: 'machine' }] }],
    ['the operator guaranteed by the others', { guarantees: [{ ...atLeast, party: operator }] }],
    ['the site guaranteed by the operator', { guarantees: [{ ...atLeast, from: 'operator' }] }],
    ["a cap on the operator's share", { guarantees: [{ ...atMost, party: operator, excessTo: site }] }],
    ['a cap whose excess goes to who is capped in favour of a third', { ...three, split: threeWays, guarantees: [atMost, { ...atMost, id: 'i', party: operator, excessTo: 'x' }] }],
    ['two caps of one party', { ...three, split: threeWays, guarantees: [atMost, { ...atMost, id: 'i', scope: 'pool', excessTo: 'x' }, { ...atMost, id: 'j', party: 'x' }] }],
    ['a guarantee of nothing', { guarantees: [{ ...atLeast, amountMinor: 0n }] }],
    ['a guarantee as high as the cap', { guarantees: [atLeast, atMost] }],
    ["a guarantee above another party's cap", { guarantees: [{ ...atLeast, amountMinor: 101n }, { ...atMost, party: operator, excessTo: site }] }],
    ['a guarantee above the cap of each pool', { guarantees: [{ ...atLeast, amountMinor: 101n }, { ...atMost, scope: 'pool' }] }],
    ['a guarantee a month above the cap a week', { guarantees: [{ ...atLeast, amountMinor: 101n, per: 'month' }, { ...atMost, per: 'week' }] }],
    ['a party without a share', three],
    ['a coin of one unit', { payout: { smallestMinor: 0n, negative: 'carry', smallestCoinMinor: 1n } }],
  ])('%s', (_title, changes) => {
    expect(problemsOf(changes)).toEqual([]);
  });
});

test.each<[string, Partial<Terms>, Record<string, string>]>([
  ["the site's currency", { currency: 'EUR' }, { currency: 'USD' }],
  ['the stranger of a charge', { charges: [charge({ to: 'stranger' })] }, { party: 'stranger' }],
  ['the stranger of a guarantee', { guarantees: [{ ...atLeast, party: 'stranger' }] }, { party: 'stranger' }],
  ['the stranger who gets an excess', { guarantees: [{ ...atMost, excessTo: 'stranger' }] }, { party: 'stranger' }],
  ['what the shares sum to', { split: { kind: 'shares', shares: shares([operator, '50'], [site, '49.5']) } }, { sum: '99.5' }],
  ['where the next band begins', bands({ ...half, toMinor: 5n }, { ...half, fromMinor: 6n }), { next: '6' }],
  ['the cap', { guarantees: [{ ...atLeast, amountMinor: 101n }, atMost] }, { cap: '100' }],
  ['what an amount may be', { tokens: [{ tokenId: 't', valueMinor: -1n }] }, { least: '0', most: '1000000000000000' }],
  ['the percentage', { advances: { kind: 'percentage', percent: decimal('101') } }, { percent: '101' }],
])('a refusal names %s', (_title, changes, parameters) => {
  expect(checkTerms(terms(changes), { currency: 'USD', limits: [] })[0]?.parameters).toEqual(parameters);
});

test('no site at all is refused', () => {
  expect(problemsOf({ parties: [{ id: operator, role: 'operator' }, { id: site, role: 'other' }] })).toEqual(['/parties needs-one-site']);
});

describe('limits of the law let pass what they do not forbid', () => {
  test("half is the most for the site, not for the operator; bands are looked at one by one", () => {
    const limit: LawLimit = { ...dated, kind: 'highest-site-share', percent: decimal('50') };
    expect(problemsOf({ split: { kind: 'shares', shares: shares([operator, '60'], [site, '40']) } }, [limit])).toEqual([]);
    const rising = bands({ ...half, toMinor: 5n }, { ...half, fromMinor: 5n, shares: shares([operator, '40'], [site, '60']) });
    expect(checkTerms(terms(rising), { currency: 'USD', limits: [limit] })).toEqual([
      {
        pointer: '/split/bands/1/shares/1/percent',
        code: 'law-highest-site-share',
        parameters: { percent: '60', highest: '50', source: 'invented for tests' },
      },
    ]);
  });

  test('a fixed split binds both sides, also where a third party takes the rest or one has no share', () => {
    const limit: LawLimit = { ...dated, kind: 'fixed-split', operatorPercent: decimal('60'), sitePercent: decimal('40') };
    const split = (list: ReturnType<typeof shares>): Partial<Terms> => ({
      parties: [...terms().parties, { id: 'x', role: 'other' }],
      split: { kind: 'shares', shares: list },
    });
    expect(problemsOf(split(shares([operator, '60'], [site, '30'], ['x', '10'])), [limit])).toEqual(['/split/shares law-fixed-split']);
    expect(problemsOf(split(shares([operator, '50'], [site, '40'], ['x', '10'])), [limit])).toEqual(['/split/shares law-fixed-split']);
    expect(problemsOf(split(shares([operator, '60'], ['x', '40'])), [limit])).toEqual(['/split/shares law-fixed-split']);
    expect(problemsOf(split(shares([site, '40'], ['x', '60'])), [{ ...limit, operatorPercent: decimal('0') }])).toEqual([]);
  });

  test('no advances where there may be none', () => {
    expect(problemsOf({ advances: { kind: 'none' } }, [{ ...dated, kind: 'no-advances' }])).toEqual([]);
  });
});
