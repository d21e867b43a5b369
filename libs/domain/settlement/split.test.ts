import { localDate } from '#domain/calendar/local-date';
import { settle } from '#domain/settlement/settle';
import type { BandsSplit, Terms } from '#domain/terms/types';
import { count, inputs, machine, operator, other, period, shares, site, slip, version } from '#tests/support/settlement-inputs';
import { carriesOf, linesOf, sharesOf } from '#tests/support/settlement-lines';

type Changes = Parameters<typeof period>[2];

function january(terms: Partial<Terms>, changes: Changes) {
  return settle(
    inputs(period('2026-01-01', '2026-02-01', { versions: [version('2020-01-01', terms)], machines: [machine('A'), machine('B')], ...changes })),
  );
}

const takings = (a: bigint, b: bigint): Changes => ({ counts: [count('A', '2026-01-15', a), count('B', '2026-01-15', b)] });

const three = [
  { id: operator, role: 'operator' },
  { id: site, role: 'site' },
  { id: other, role: 'other' },
] as const;

describe('shares', () => {
  test('the odd unit goes to the largest fraction', () => {
    const split = { kind: 'shares', shares: shares([operator, '49.6'], [site, '50.4']) } as const;
    expect(sharesOf(january({ split }, takings(100n, 1n)))).toEqual({ [operator]: 50n, [site]: 51n });
  });

  test('a tie goes to the party that the agreement lists first, however the shares are listed', () => {
    const split = { kind: 'shares', shares: shares([site, '50'], [operator, '50']) } as const;
    expect(sharesOf(january({ split }, takings(100n, 1n)))).toEqual({ [operator]: 51n, [site]: 50n });
  });

  test('three parties with a third each', () => {
    const split = { kind: 'shares', shares: shares([operator, '33.333333334'], [site, '33.333333333'], [other, '33.333333333']) } as const;
    expect(sharesOf(january({ parties: three, split }, takings(100n, 0n)))).toEqual({ [operator]: 34n, [site]: 33n, [other]: 33n });
  });

  test('each pool is divided on its own', () => {
    expect(sharesOf(january({ grouping: 'machine' }, takings(101n, 101n)))).toEqual({ [operator]: 102n, [site]: 100n });
    expect(sharesOf(january({ grouping: 'site' }, takings(101n, 101n)))).toEqual({ [operator]: 101n, [site]: 101n });
  });
});

function banded(changes: Partial<BandsSplit>): BandsSplit {
  return {
    kind: 'bands',
    method: 'marginal',
    scope: 'agreement',
    per: 'period',
    bands: [
      { fromMinor: 0n, toMinor: 1000n, shares: shares([operator, '80'], [site, '20']) },
      { fromMinor: 1000n, toMinor: 3000n, shares: shares([operator, '60'], [site, '40']) },
      { fromMinor: 3000n, toMinor: null, shares: shares([operator, '50'], [site, '50']) },
    ],
    ...changes,
  };
}

describe('bands', () => {
  test.each([
    // 20 % of 1000, 40 % of the next 2000, 50 % above.
    ['marginal', 999n, 200n],
    ['marginal', 1000n, 200n],
    ['marginal', 2000n, 600n],
    ['marginal', 5000n, 2000n],
    ['whole', 999n, 200n],
    ['whole', 1000n, 400n],
    ['whole', 2999n, 1200n],
    ['whole', 3000n, 1500n],
  ] as const)('%s: of %d the site gets %d', (method, left, toSite) => {
    expect(sharesOf(january({ split: banded({ method }) }, takings(left, 0n)))[site]).toBe(toSite);
  });

  test('per agreement the pools count together, per pool each on its own', () => {
    const changes = takings(2000n, 3000n);
    expect(sharesOf(january({ grouping: 'machine', split: banded({}) }, changes))[site]).toBe(2000n);
    // 600 of the first pool, 1000 of the second.
    expect(sharesOf(january({ grouping: 'machine', split: banded({ scope: 'pool' }) }, changes))[site]).toBe(1600n);
  });

  test('what the agreement shares comes back to the pools, both sums to the unit', () => {
    const result = january({ grouping: 'machine', split: banded({}) }, takings(1667n, 3334n));
    const lines = linesOf(result, 'share');
    // 3000.5 and 2000.5: the tie goes to the operator, who is listed first.
    expect(sharesOf(result)).toEqual({ [operator]: 3001n, [site]: 2000n });
    expect((lines[`share/1/machine:m-A/${operator}`] ?? 0n) + (lines[`share/1/machine:m-A/${site}`] ?? 0n)).toBe(1667n);
    expect((lines[`share/1/machine:m-B/${operator}`] ?? 0n) + (lines[`share/1/machine:m-B/${site}`] ?? 0n)).toBe(3334n);
  });

  test('thresholds per week grow with the days covered', () => {
    // 14 days: thresholds 2000 and 6000; of 5000 the site gets 400 + 1200.
    const changes = { counts: [count('A', '2026-01-15', 5000n, { days: 14 })] };
    expect(sharesOf(january({ split: banded({ per: 'week' }) }, changes))[site]).toBe(1600n);
  });

  test('only pools with something left are measured and shared', () => {
    const changes = { ...takings(2000n, 100n), refundSlips: [slip('B', '2026-01-15', 1100n)] };
    const result = january({ grouping: 'machine', split: banded({}) }, changes);
    expect(sharesOf(result)[site]).toBe(600n);
    expect(linesOf(result, 'loss-out')).toEqual({ 'loss-out/1/machine:m-B': -1000n });
  });
});

describe('a loss', () => {
  const losing: Changes = { counts: [count('A', '2026-01-15', 100n)], refundSlips: [slip('A', '2026-01-15', 301n)] };

  test('is carried: no shares now, and it opens the next pool', () => {
    const first = january({}, losing);
    expect(sharesOf(first)).toEqual({ [operator]: 0n, [site]: 0n });
    expect(carriesOf(first).losses).toEqual([{ poolKey: 'site', machineIds: ['m-A', 'm-B'], amountMinor: -201n }]);
    const second = settle(
      inputs(period('2026-02-01', '2026-03-01', { machines: [machine('A'), machine('B')], counts: [count('A', '2026-02-10', 1001n)] }), {
        carriesIn: carriesOf(first),
      }),
    );
    expect(second.totals).toMatchObject({ lossInMinor: -201n, sharesMinor: 800n, lossOutMinor: 0n });
    expect(carriesOf(second).losses).toEqual([]);
  });

  test('is borne by the shares', () => {
    const split = { kind: 'shares', shares: shares([operator, '60'], [site, '40']) } as const;
    expect(sharesOf(january({ loss: 'share', split }, losing))).toEqual({ [operator]: -121n, [site]: -80n });
  });

  test('is borne by the lowest list of bands', () => {
    expect(sharesOf(january({ loss: 'share', split: banded({}) }, losing))).toEqual({ [operator]: -161n, [site]: -40n });
  });
});

test('a yen, a dollar and a dinar divide alike: whole minor units', () => {
  const settleIn = (currency: 'JPY' | 'KWD') =>
    settle(
      inputs(period('2026-01-01', '2026-02-01', { versions: [version('2020-01-01', { currency })], counts: [count('A', '2026-01-15', 101n)] }), {
        currency,
      }),
    );
  expect(sharesOf(settleIn('JPY'))).toEqual(sharesOf(settleIn('KWD')));
  expect(settleIn('JPY').currency).toBe('JPY');
});

test("a leap day counts as a day: a month's amount for 29 of 29 days is whole", () => {
  const split = banded({ per: 'month' });
  const counts = [count('A', '2028-02-29', 3000n, { coveredFrom: localDate('2028-02-01'), coveredUntil: localDate('2028-03-01') })];
  const result = settle(inputs(period('2028-02-01', '2028-03-01', { versions: [version('2020-01-01', { split })], counts })));
  expect(sharesOf(result)[site]).toBe(1000n);
});
