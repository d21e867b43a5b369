import { settle } from '#domain/settlement/settle';
import { breakIn, cashless, count, inputs, insideRule, machine, operator, period, site, slip, version } from '#tests/support/settlement-inputs';
import { linesOf, payableTo } from '#tests/support/settlement-lines';

const january = (changes: Parameters<typeof period>[2]) => settle(inputs(period('2026-01-01', '2026-02-01', changes)));

test('takings are counted cash of both tenders, tokens at their value and card takings less what went back', () => {
  const result = january({
    versions: [version('2020-01-01', { tokens: [{ tokenId: 'brass', valueMinor: 25n }] })],
    counts: [
      count('A', '2026-01-15', 1000n, {
        noteMinor: 500n,
        tokens: [
          { tokenId: 'brass', pieces: 4 },
          { tokenId: 'foreign', pieces: 9 },
        ],
      }),
    ],
    cashless: [cashless('A', '2026-01-16', 300n, 50n)],
  });
  expect(linesOf(result, 'cash')).toEqual({ 'takings/1/m-A/cash': 1500n });
  expect(linesOf(result, 'tokens')).toEqual({ 'takings/1/m-A/tokens': 100n });
  expect(linesOf(result, 'cashless')).toEqual({ 'takings/1/m-A/cashless': 250n });
  expect(result.totals.netTakingsMinor).toBe(1850n);
});

test('refunds are kept apart by who paid them; only a payee gets them back', () => {
  const result = january({
    counts: [count('A', '2026-01-15', 1000n)],
    refundSlips: [slip('A', '2026-01-15', 100n), slip('A', '2026-01-16', 60n), slip('A', '2026-01-15', 30n, { id: 's2', paidBy: operator })],
  });
  expect(linesOf(result, 'refund')).toEqual({ [`refund/1/m-A/${operator}`]: 30n, [`refund/1/m-A/${site}`]: 160n });
  expect(result.totals.netTakingsMinor).toBe(810n);
  expect(payableTo(result, site)).toMatchObject({ sharesMinor: 405n, refundsPaidMinor: 160n, amountMinor: 565n });
  expect(result.postings).toContainEqual({ account: { code: 'refunds-advanced-by-operator', holderId: null }, amountMinor: -30n });
});

test('refunds may exceed takings: net takings of a machine below zero', () => {
  const result = january({
    machines: [machine('A'), machine('B')],
    counts: [count('A', '2026-01-15', 100n), count('B', '2026-01-15', 900n)],
    refundSlips: [slip('A', '2026-01-15', 300n)],
  });
  expect(linesOf(result, 'net-takings')).toEqual({ 'takings/1/m-A/net-takings': -200n, 'takings/1/m-B/net-takings': 900n });
});

describe('basis metered: the operator bears the difference between meters and count', () => {
  const metered = [version('2020-01-01', { basis: 'metered' })];

  test('a shortage costs the operator, not the site', () => {
    const result = january({ versions: metered, counts: [count('A', '2026-01-15', 900n, { meteredMinor: 1000n })] });
    expect(payableTo(result, site).amountMinor).toBe(500n);
    expect(result.postings).toContainEqual({ account: { code: 'cash-over-and-short', holderId: null }, amountMinor: 100n });
  });

  test('what a machine paid back beyond what it took is taken off the other takings of the site, and carried where nothing is left', () => {
    const paidBack = count('A', '2026-01-15', 0n, { meteredMinor: -200n });
    const both = january({ versions: metered, machines: [machine('A'), machine('B')], counts: [paidBack, count('B', '2026-01-15', 1000n, { meteredMinor: 1000n })] });
    expect(linesOf(both, 'net-takings')).toEqual({ 'takings/1/m-A/net-takings': -200n, 'takings/1/m-B/net-takings': 1000n });
    expect(payableTo(both, site).amountMinor).toBe(400n);
    expect(both.postings).toContainEqual({ account: { code: 'cash-over-and-short', holderId: null }, amountMinor: -200n });
    const alone = january({ versions: metered, counts: [paidBack] });
    expect([alone.totals.takingsMinor, payableTo(alone, site).amountMinor]).toEqual([-200n, 0n]);
  });

  test('where the meter was not read, the count stands', () => {
    expect(january({ versions: metered, counts: [count('A', '2026-01-15', 900n)] }).totals.takingsMinor).toBe(900n);
  });

  test('with basis counted the meter changes nothing', () => {
    expect(january({ counts: [count('A', '2026-01-15', 900n, { meteredMinor: 1000n })] }).totals.takingsMinor).toBe(900n);
  });
});

describe('a break-in of 300 beside 700 counted', () => {
  const robbed = (borneBy: 'all' | 'operator' | 'site', basis: 'counted' | 'metered' = 'counted', inBase = false) =>
    january({
      versions: [version('2020-01-01', { breakIns: { borneBy }, basis })],
      counts: [count('A', '2026-01-15', 700n, { meteredMinor: 1000n })],
      breakIns: [breakIn('A', '2026-01-10', 300n)],
      taxRules: [insideRule(['25'], { breakIns: inBase ? 'in-base' : 'not-in-base' })],
    });

  test.each(['counted', 'metered'] as const)('is lost to all, with basis %s', (basis) => {
    const result = robbed('all', basis);
    expect(result.totals.takingsMinor).toBe(700n);
    expect(linesOf(result, 'break-in')).toEqual({});
  });

  test.each(['counted', 'metered'] as const)('is made good by the operator, with basis %s', (basis) => {
    const result = robbed('operator', basis);
    expect(result.totals.takingsMinor).toBe(1000n);
    expect(result.postings).toContainEqual({ account: { code: 'break-in-loss', holderId: null }, amountMinor: 300n });
    expect(payableTo(result, site).breakInsMinor).toBe(0n);
  });

  test('is made good by the site, out of what it gets', () => {
    const result = robbed('site');
    expect(result.totals.takingsMinor).toBe(1000n);
    expect(payableTo(result, site)).toMatchObject({ sharesMinor: 430n, breakInsMinor: -300n, amountMinor: 130n });
  });

  test('the tax rule says whether it is taxed, whoever bears it', () => {
    expect(robbed('all').totals.taxBeforeSplitMinor).toBe(140n);
    expect(robbed('all', 'counted', true).totals.taxBeforeSplitMinor).toBe(200n);
    expect(robbed('operator').totals.taxBeforeSplitMinor).toBe(140n);
    expect(robbed('operator', 'counted', true).totals.taxBeforeSplitMinor).toBe(200n);
  });
});

test('a metered difference is no break-in: both stand on lines of their own', () => {
  const result = january({
    versions: [version('2020-01-01', { breakIns: { borneBy: 'operator' }, basis: 'metered' })],
    counts: [count('A', '2026-01-15', 650n, { meteredMinor: 1000n })],
    breakIns: [breakIn('A', '2026-01-10', 300n)],
  });
  expect(linesOf(result, 'metered-difference')).toEqual({ 'takings/1/m-A/metered-difference': 50n });
  expect(linesOf(result, 'break-in')).toEqual({ [`takings/1/m-A/break-in/${operator}`]: 300n });
});

test('a count of nothing is still a count', () => {
  const result = january({ counts: [count('A', '2026-01-15', 0n)] });
  expect(linesOf(result, 'cash')).toEqual({ 'takings/1/m-A/cash': 0n });
  expect(payableTo(result, site)).toMatchObject({ amountMinor: 0n, outcome: 'nothing' });
});

test('an unknown machine is a mistake of the caller', () => {
  expect(() => january({ counts: [count('Z', '2026-01-15', 1n)] })).toThrow('m-Z');
});

test('machines stand in the order of their tags, whatever their ids and order of arrival', () => {
  const machines = [machine('B', { id: 'm-1' }), machine('A', { id: 'm-2' }), machine('C', { id: 'm-0' })];
  const counts = [
    count('B', '2026-01-15', 1n, { machineId: 'm-1' }),
    count('C', '2026-01-15', 1n, { machineId: 'm-0' }),
    count('A', '2026-01-15', 1n, { machineId: 'm-2' }),
  ];
  expect(Object.keys(linesOf(january({ machines, counts }), 'cash'))).toEqual(['takings/1/m-2/cash', 'takings/1/m-1/cash', 'takings/1/m-0/cash']);
});
