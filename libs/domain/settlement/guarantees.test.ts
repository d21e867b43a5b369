import { settle } from '#domain/settlement/settle';
import type { AtLeast, AtMost, Guarantee, Terms } from '#domain/terms/types';
import { count, inputs, machine, operator, other, period, shares, site, slip, version, cashless } from '#tests/support/settlement-inputs';
import { linesOf, sharesOf } from '#tests/support/settlement-lines';

type Changes = Parameters<typeof period>[2];

function january(guarantees: readonly Guarantee[], changes: Changes, terms: Partial<Terms> = {}) {
  return settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        versions: [version('2020-01-01', { guarantees, ...terms })],
        machines: [machine('A'), machine('B')],
        ...changes,
      }),
    ),
  );
}

const takings = (a: bigint, b = 0n): Changes => ({ counts: [count('A', '2026-01-15', a, { days: 14 }), count('B', '2026-01-15', b, { days: 14 })] });

function atLeast(changes: Partial<AtLeast> = {}): AtLeast {
  return { id: 'floor', kind: 'at-least', party: site, amountMinor: 600n, per: 'period', scope: 'agreement', from: 'others', ...changes };
}

function atMost(changes: Partial<AtMost> = {}): AtMost {
  return { id: 'lid', kind: 'at-most', party: site, amountMinor: 600n, per: 'period', scope: 'agreement', excessTo: operator, ...changes };
}

const threeParties: Partial<Terms> = {
  parties: [
    { id: operator, role: 'operator' },
    { id: site, role: 'site' },
    { id: other, role: 'other' },
  ],
  split: { kind: 'shares', shares: shares([operator, '50'], [site, '20'], [other, '30']) },
};

describe('at least', () => {
  test('a shortfall comes from the others by their shares', () => {
    const result = january([atLeast()], takings(1000n), threeParties);
    expect(sharesOf(result)).toEqual({ [operator]: 250n, [site]: 600n, [other]: 150n });
    expect(linesOf(result, 'guarantee')).toEqual({
      [`guarantee/at-least/${site}/agreement/${site}`]: 400n,
      [`guarantee/at-least/${site}/agreement/${operator}`]: -250n,
      [`guarantee/at-least/${site}/agreement/${other}`]: -150n,
    });
  });

  test('the others give what they have and no more: a guarantee larger than the box', () => {
    expect(sharesOf(january([atLeast({ amountMinor: 5000n })], takings(1000n), threeParties))).toEqual({
      [operator]: 0n,
      [site]: 1000n,
      [other]: 0n,
    });
  });

  test('the operator pays even below zero', () => {
    expect(sharesOf(january([atLeast({ amountMinor: 5000n, from: 'operator' })], takings(1000n), threeParties))).toEqual({
      [operator]: -4300n,
      [site]: 5000n,
      [other]: 300n,
    });
  });

  test('others whose share is a loss give nothing', () => {
    const losing = { counts: [count('A', '2026-01-15', 100n)], refundSlips: [slip('A', '2026-01-15', 300n)] };
    expect(sharesOf(january([atLeast()], losing, { loss: 'share' }))).toEqual({ [operator]: -100n, [site]: -100n });
  });

  test('where the share reaches it, nothing moves', () => {
    expect(linesOf(january([atLeast()], takings(1200n)), 'guarantee')).toEqual({});
  });

  test('per week it grows with the days covered', () => {
    expect(sharesOf(january([atLeast({ per: 'week', amountMinor: 700n })], takings(2000n)))).toEqual({ [operator]: 600n, [site]: 1400n });
  });

  test('per pool each pool is tested on its own', () => {
    const result = january([atLeast({ scope: 'pool' })], takings(5000n, 1000n), { grouping: 'machine' });
    expect(linesOf(result, 'guarantee')).toEqual({
      [`guarantee/at-least/${site}/machine:m-B/${site}`]: 100n,
      [`guarantee/at-least/${site}/machine:m-B/${operator}`]: -100n,
    });
    expect(sharesOf(january([atLeast()], takings(5000n, 1000n), { grouping: 'machine' }))[site]).toBe(3000n);
  });

  test('per machine the days are its own', () => {
    const changes = { counts: [count('A', '2026-01-15', 1000n, { days: 14 }), count('B', '2026-01-15', 1000n, { days: 7 })] };
    const result = january([atLeast({ scope: 'machine', per: 'week', amountMinor: 400n })], changes, { grouping: 'machine' });
    expect(sharesOf(result)[site]).toBe(800n + 500n);
  });
});

test('whoever has a share of the period gives, also a party that the terms of the guarantee do not name', () => {
  const guarantees = [atLeast({ amountMinor: 3000n })];
  const changes = {
    versions: [version('2020-01-01', { ...threeParties, guarantees }), version('2026-01-20', { guarantees, split: { kind: 'shares', shares: shares([operator, '0'], [site, '100']) } })],
    counts: [count('A', '2026-01-15', 1000n, { days: 14 }), count('A', '2026-01-29', 500n, { days: 14 })],
  };
  // 500, 200 + 500 and 300: the site lacks 2,300, and all the others have is 800.
  expect(sharesOf(january([], changes))).toEqual({ [operator]: 0n, [site]: 1500n, [other]: 0n });
});

test('two guarantees of one agreement for one pool are tested one after the other; they do not add up', () => {
  const both = [atLeast({ scope: 'pool' }), atLeast({ id: 'floor-of-machine', scope: 'machine', amountMinor: 700n })];
  const result = january(both, takings(1000n), { grouping: 'machine' });
  expect(linesOf(result, 'guarantee')).toEqual({
    [`guarantee/at-least/${site}/machine:m-A/${site}`]: 100n,
    [`guarantee/at-least/${site}/machine:m-A/${operator}`]: -100n,
    [`guarantee/at-least/${site}/machine:m-A/2/${site}`]: 100n,
    [`guarantee/at-least/${site}/machine:m-A/2/${operator}`]: -100n,
  });
});

describe('at most', () => {
  test('the excess goes to the operator', () => {
    expect(sharesOf(january([atMost()], takings(2000n)))).toEqual({ [operator]: 1400n, [site]: 600n });
  });

  test('the excess goes to a named party', () => {
    expect(sharesOf(january([atMost({ party: operator, excessTo: other })], takings(2000n), threeParties))).toEqual({
      [operator]: 600n,
      [site]: 400n,
      [other]: 1000n,
    });
  });

  test('below it, nothing moves', () => {
    expect(linesOf(january([atMost()], takings(1200n)), 'guarantee')).toEqual({});
  });

  test('without a count the cap is not tested', () => {
    expect(sharesOf(january([atMost()], { cashless: [cashless('A', '2026-01-10', 5000n)] }))).toEqual({ [operator]: 2500n, [site]: 2500n });
  });
});

test("they are tested in the agreement's order, each on what the one before left", () => {
  const lidFirst = january(
    [atMost({ party: operator, excessTo: site, amountMinor: 300n }), atLeast({ party: operator, amountMinor: 400n, from: 'others' })],
    takings(1000n),
  );
  expect(sharesOf(lidFirst)).toEqual({ [operator]: 400n, [site]: 600n });
  const floorFirst = january(
    [atLeast({ party: operator, amountMinor: 400n, from: 'others' }), atMost({ party: operator, excessTo: site, amountMinor: 300n })],
    takings(1000n),
  );
  expect(sharesOf(floorFirst)).toEqual({ [operator]: 300n, [site]: 700n });
});
