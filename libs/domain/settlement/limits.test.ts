import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { issuedLines } from '#domain/settlement/differences';
import { settle } from '#domain/settlement/settle';
import type { LawLimit } from '#domain/tax/types';
import type { Terms } from '#domain/terms/types';
import { charge, count, inputs, machine, operator, period, shares, site, slip, takingsRule, version } from '#tests/support/settlement-inputs';

const dated = { id: 'limit', areaId: 'area', source: 'invented for tests', from: localDate('2020-01-01'), until: null };
const half: LawLimit = { ...dated, kind: 'highest-site-share', percent: decimal('50') };
const fixed: LawLimit = { ...dated, kind: 'fixed-split', operatorPercent: decimal('50'), sitePercent: decimal('50') };

function breaches(limit: LawLimit, terms: Partial<Terms>, changes: Parameters<typeof period>[2] = {}) {
  const current = period('2026-01-01', '2026-02-01', {
    versions: [version('2020-01-01', terms)],
    limits: [limit],
    machines: [machine('A'), machine('B')],
    counts: [count('A', '2026-01-15', 1001n), count('B', '2026-01-15', 1001n)],
    ...changes,
  });
  return settle(inputs(current, { advances: [{ id: 'a', party: site, openMinor: 500n }] })).breaches.map(({ kind, allowedMinor, actualMinor }) => [
    kind,
    allowedMinor,
    actualMinor,
  ]);
}

const split = (toOperator: string, toSite: string): Partial<Terms> => ({
  split: { kind: 'shares', shares: shares([operator, toOperator], [site, toSite]) },
});
const siteFirst: Partial<Terms> = {
  parties: [
    { id: site, role: 'site' },
    { id: operator, role: 'operator' },
  ],
};

test('the odd unit of each pool is no breach', () => {
  expect(breaches(half, { ...siteFirst, grouping: 'machine' })).toEqual([]);
  expect(breaches(fixed, { ...siteFirst, grouping: 'machine' })).toEqual([]);
  expect(breaches(fixed, { grouping: 'machine' })).toEqual([]);
});

test('more than the law allows is a breach', () => {
  expect(breaches(half, split('49', '51'))).toEqual([['highest-site-share', 1001n, 1021n]]);
  expect(breaches(fixed, split('49', '51'))).toEqual([['fixed-split', 1001n, 1021n]]);
});

test('less than a fixed split is one as well, less than the highest share is none', () => {
  expect(breaches(fixed, split('51', '49'))).toEqual([['fixed-split', 1001n, 981n]]);
  expect(breaches(half, split('51', '49'))).toEqual([]);
});

test('a loss is not divided, so it breaks no limit', () => {
  expect(breaches(half, { ...split('0', '100'), loss: 'share' }, { refundSlips: [slip('A', '2026-01-15', 9000n)] })).toEqual([]);
});

test('a guarantee out of an empty box gives the site more than its part of nothing', () => {
  const guarantees: Terms['guarantees'] = [{ id: 'floor', kind: 'at-least', party: site, amountMinor: 600n, per: 'period', scope: 'agreement', from: 'operator' }];
  const empty = { counts: [count('A', '2026-01-15', 0n)] };
  expect(breaches(half, { guarantees }, empty)).toEqual([['highest-site-share', 0n, 600n]]);
  expect(breaches(fixed, { guarantees }, empty)).toEqual([['fixed-split', 0n, 600n]]);
});

test('an advance that is worked off where there may be none', () => {
  const limit: LawLimit = { ...dated, kind: 'no-advances' };
  expect(breaches(limit, { advances: { kind: 'fixed', amountMinor: 100n } })).toEqual([['no-advances', 0n, 100n]]);
  expect(breaches(limit, {})).toEqual([]);
});

test.each([
  ['2020-01-01', '2026-01-01', 0],
  ['2020-01-01', '2026-01-02', 1],
  ['2026-01-31', '2027-01-01', 1],
  ['2026-02-01', '2027-01-01', 0],
])('a limit from %s until %s', (from, until, expected) => {
  expect(breaches({ ...half, from: localDate(from), until: localDate(until) }, split('40', '60'))).toHaveLength(expected);
});

test('a charge to the site is part of what it gets and of what is divided, a charge to the operator of neither', () => {
  const rent = (to: string) => ({ charges: [charge({ to, amount: { kind: 'amount', per: 'period', amountMinor: 200n } })] });
  expect(breaches(half, rent(site))).toEqual([['highest-site-share', 1001n, 1101n]]);
  expect(breaches(half, { ...rent(operator), ...split('40', '60') })).toEqual([['highest-site-share', 901n, 1081n]]);
});

test('a loss that the parties bear is divided by nobody’s law', () => {
  const lost = { refundSlips: [slip('A', '2026-01-15', 9000n)] };
  expect(breaches(half, { loss: 'share', ...split('100', '0') }, lost)).toEqual([]);
  expect(breaches(fixed, { loss: 'share', ...split('100', '0') }, lost)).toEqual([]);
});

test('a loss that is borne by halves keeps the fixed split, one unit less than half of a gain as well', () => {
  expect(breaches(fixed, { loss: 'share' }, { refundSlips: [slip('A', '2026-01-15', 9000n)] })).toEqual([]);
  const odd = { counts: [count('A', '2026-01-15', 1001n)] };
  expect(breaches(fixed, {}, odd)).toEqual([]);
  expect(breaches(fixed, split('50.1', '49.9'), odd)).toEqual([['fixed-split', 501n, 499n]]);
});

describe('an issued period that is settled again by difference', () => {
  const january = (changes: Parameters<typeof period>[2] = {}) =>
    period('2026-01-01', '2026-02-01', { limits: [half], counts: [count('A', '2026-01-15', 1000n)], ...changes });
  const february = (changes: Parameters<typeof period>[2] = {}) => period('2026-02-01', '2026-03-01', { counts: [count('A', '2026-02-12', 100_000n)], ...changes });
  /** February with a January that was issued like the first and is now like the second. */
  const broken = (issued: ReturnType<typeof period>, now: ReturnType<typeof period>, current = february(), more: Parameters<typeof inputs>[1] = {}) =>
    settle(inputs(current, { earlier: [{ inputs: now, issued: issuedLines([settle(inputs(issued))], now.period.id) }], ...more })).breaches.map(
      ({ kind, allowedMinor, actualMinor, changedPeriod }) => [kind, allowedMinor, actualMinor, changedPeriod?.from ?? null],
    );
  const signed = (terms: Partial<Terms>) => ({ versions: [version('2020-01-01', terms)] });

  test('is tested as a whole, not by what is new of it', () => {
    // The guarantee is 600 of 1000 when it is met; of 1200 it is half and in order, though all that is new goes to the operator.
    const floor = signed({ guarantees: [{ id: 'floor', kind: 'at-least', party: site, amountMinor: 600n, per: 'period', scope: 'agreement', from: 'others' }] });
    const [small, large] = [january(floor), january({ ...floor, counts: [count('A', '2026-01-15', 1000n), count('A', '2026-01-22', 200n)] })];
    expect(settle(inputs(small)).breaches.map(({ actualMinor, changedPeriod }) => [actualMinor, changedPeriod])).toEqual([[600n, undefined]]);
    expect(broken(large, small, february(floor))).toEqual([['highest-site-share', 500n, 600n, '2026-01-01']]);
    expect(broken(small, large, february(floor))).toEqual([]);
  });

  test('breaks the limit by terms that were signed late, whatever today’s settlement is like', () => {
    expect(broken(january(), january(signed(split('45', '55'))))).toEqual([['highest-site-share', 500n, 550n, '2026-01-01']]);
    expect(broken(january(), january({ ...signed(split('45', '55')), limits: [fixed] }))).toEqual([['fixed-split', 500n, 550n, '2026-01-01']]);
    expect(broken(january(), january({ ...signed(split('55', '45')), limits: [fixed] }))).toEqual([['fixed-split', 500n, 450n, '2026-01-01']]);
  });

  test('breaks it by a charge to the site that was agreed late', () => {
    const rent = signed({ charges: [charge({ to: site, amount: { kind: 'amount', per: 'period', amountMinor: 200n } })] });
    expect(broken(january(), january(rent))).toEqual([['highest-site-share', 500n, 600n, '2026-01-01']]);
  });

  test('is held against the limits of its own days', () => {
    const until = (day: string) => ({ limits: [{ ...half, until: localDate(day) }] });
    const late = (limits: { limits: LawLimit[] }) => broken(january(limits), january({ ...signed(split('45', '55')), ...limits }), february(limits));
    expect(late(until('2026-01-01'))).toEqual([]);
    expect(late(until('2026-01-02'))).toHaveLength(1);
  });

  test('names the changed periods first, oldest first, then the settlement’s own', () => {
    const late = signed(split('45', '55'));
    expect(broken(january(), january(late), february({ ...late, limits: [half] }))).toEqual([
      ['highest-site-share', 500n, 550n, '2026-01-01'],
      ['highest-site-share', 50_000n, 55_000n, null],
    ]);
  });

  test('is not asked about again for what was issued and stays', () => {
    // The limit came after January was issued; what is new in it is only which of two taxes takes the 100.
    const over = signed(split('45', '55'));
    const taxed = (id: string) => january({ ...over, taxRules: [takingsRule(['10'], { id })] });
    expect(broken(taxed('rule-1'), taxed('rule-2'))).toEqual([]);
  });

  describe('when the limit was recorded after it was issued', () => {
    const counted = (minor: bigint, site: string) => january({ ...signed(split(String(100 - Number(site)), site)), counts: [count('A', '2026-01-15', minor)] });
    const fixedFor = (period: ReturnType<typeof january>) => ({ ...period, limits: [fixed] });

    test.each([
      ['less was in the box: 540 of 900 is 90 above half, 600 of 1000 was 100', counted(1000n, '60'), counted(900n, '60'), []],
      ['terms that give less, though still too much', counted(1000n, '60'), counted(1000n, '55'), []],
      ['more was in the box, and the site has too much of that as well', counted(1000n, '60'), counted(1100n, '60'), [660n]],
      ['terms that give still more', counted(1000n, '60'), counted(1000n, '61'), [610n]],
      ['one unit further', counted(1000n, '60'), counted(1010n, '60'), [606n]],
      ['what is new is divided as the law has it', counted(1000n, '60'), january({ ...signed(split('41', '59')), counts: [count('A', '2026-01-15', 1100n)] }), []],
      ['from far below what is allowed to a little above it', counted(1000n, '0'), counted(1000n, '55'), [550n]],
      ['from what is allowed to what is not', counted(1000n, '50'), counted(900n, '60'), [540n]],
    ])('%s', (_, issued, now, actual) => {
      expect(broken(issued, now).map(([, , actualMinor]) => actualMinor)).toEqual(actual);
    });

    test('a fixed split is come nearer to from below as well as from above, and not passed by', () => {
      const [below, nearer] = [fixedFor(counted(1000n, '40')), fixedFor(counted(1000n, '45'))];
      const [further, above] = [fixedFor(counted(1000n, '39')), fixedFor(counted(1000n, '61'))];
      expect(broken(below, nearer)).toEqual([]);
      expect(broken(below, further)).toEqual([['fixed-split', 500n, 390n, '2026-01-01']]);
      expect(broken(below, above)).toEqual([['fixed-split', 500n, 610n, '2026-01-01']]);
    });

    test('the odd unit of each further pool is none of the way', () => {
      const pools = (a: bigint, b: bigint) =>
        january({ ...signed({ ...siteFirst, ...split('40', '60'), grouping: 'machine' }), machines: [machine('A'), machine('B')], counts: [count('A', '2026-01-15', a), count('B', '2026-01-15', b)] });
      // 600.6 and 600.6 of 2002 are rounded to 1202, 201 above half of it; 600 of each 1000 are 200 above.
      expect(broken(pools(1000n, 1000n), pools(1001n, 1001n))).toEqual([]);
      expect(broken(pools(1000n, 1000n), pools(1010n, 1010n)).map(([, , actualMinor]) => actualMinor)).toEqual([1212n]);
    });
  });

  test('an advance is worked off by today’s settlement, so only its own limits forbid it', () => {
    const none: LawLimit = { ...dated, kind: 'no-advances' };
    const terms = signed({ advances: { kind: 'fixed', amountMinor: 100n } });
    const changed = january({ ...terms, limits: [none], counts: [count('A', '2026-01-15', 1200n)] });
    const advances = [{ id: 'a', party: site, openMinor: 500n }];
    expect(broken(january(terms), changed, february(terms), { advances })).toEqual([]);
    expect(broken(january(terms), changed, february({ ...terms, limits: [none] }), { advances })).toEqual([['no-advances', 0n, 100n, null]]);
  });
});
