import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { settle } from '#domain/settlement/settle';
import type { PeriodCarries } from '#domain/settlement/types';
import type { ChargeAmount, Terms } from '#domain/terms/types';
import { cashless, charge, count, inputs, machine, operator, period, shares, site, slip, version } from '#tests/support/settlement-inputs';
import { carriesOf, linesOf, sharesOf } from '#tests/support/settlement-lines';

type Changes = Parameters<typeof period>[2];

function january(terms: Partial<Terms>, changes: Changes = {}, carriesIn?: PeriodCarries) {
  return settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        versions: [version('2020-01-01', terms)],
        machines: [machine('A'), machine('B', { kind: 'table' })],
        ...changes,
      }),
      carriesIn === undefined ? {} : { carriesIn },
    ),
  );
}

const jan = (day: number) => localDate(`2026-01-${String(day).padStart(2, '0')}`);

/** A covers 1 to 14 January, B 8 to 21: 21 days for both together. */
const twoCounts = {
  counts: [
    count('A', '2026-01-15', 60_000n, { coveredFrom: jan(1), coveredUntil: jan(15) }),
    count('B', '2026-01-22', 40_000n, { coveredFrom: jan(8), coveredUntil: jan(22) }),
  ],
};

const per = (unit: Extract<ChargeAmount, { kind: 'amount' }>['per'], amountMinor: bigint): ChargeAmount => ({
  kind: 'amount',
  per: unit,
  amountMinor,
});
const percentOf = (of: Extract<ChargeAmount, { kind: 'percentage' }>['of'], percent: string): ChargeAmount => ({
  kind: 'percentage',
  of,
  percent: decimal(percent),
});

describe('an amount and its scope', () => {
  test.each<[string, ChargeAmount, 'agreement' | 'pool' | 'machine', bigint]>([
    // 21 days of the agreement; 14 of each machine.
    ['per week, once', per('week', 700n), 'agreement', 2100n],
    ['per week, each pool', per('week', 700n), 'pool', 2800n],
    ['per week, each machine', per('week', 700n), 'machine', 2800n],
    // 1000 x 21/31 = 677.4; 1000 x 14/31 = 451.6 twice.
    ['per month, once', per('month', 1000n), 'agreement', 677n],
    ['per month, each machine', per('month', 1000n), 'machine', 904n],
    // 36500 x 21/365.
    ['per year, once', per('year', 36_500n), 'agreement', 2100n],
    ['per period, once', per('period', 1000n), 'agreement', 1000n],
    ['per period, each pool', per('period', 1000n), 'pool', 2000n],
    ['per period, each machine', per('period', 1000n), 'machine', 2000n],
    ['per visit, once', per('visit', 300n), 'agreement', 600n],
    ['per visit, each machine', per('visit', 300n), 'machine', 600n],
    // 14/7 weeks of two machines; 2 x 14/31 months, rounded once: 903.2.
    ['per machine and week', per('machine-week', 100n), 'agreement', 400n],
    ['per machine and month, rounded once', per('machine-month', 1000n), 'agreement', 903n],
    ['per machine and month, rounded each', per('machine-month', 1000n), 'machine', 904n],
    ['percentage of net takings', percentOf('net-takings', '10'), 'agreement', 10_000n],
    ['percentage of net takings, each pool', percentOf('net-takings', '0.0025'), 'pool', 3n],
    ['percentage of what is left', percentOf('what-is-left', '5'), 'agreement', 5000n],
  ])('%s', (_title, amount, scope, expected) => {
    const result = january({ grouping: 'machine', charges: [charge({ amount, scope })] }, twoCounts);
    expect(result.totals.chargesMinor).toBe(expected);
  });

  test('a visit with two machines is one visit for the agreement, and one for each machine', () => {
    const together = { counts: [count('A', '2026-01-15', 60_000n), count('B', '2026-01-15', 40_000n)] };
    expect(january({ charges: [charge({ amount: per('visit', 300n) })] }, together).totals.chargesMinor).toBe(300n);
    expect(january({ charges: [charge({ amount: per('visit', 300n), scope: 'machine' })] }, together).totals.chargesMinor).toBe(600n);
  });

  test('a percentage of card takings looks at card takings only', () => {
    const changes = { ...twoCounts, cashless: [cashless('A', '2026-01-10', 10_000n, 2000n)] };
    expect(january({ charges: [charge({ amount: percentOf('cashless-takings', '2.5') })] }, changes).totals.chargesMinor).toBe(200n);
  });

  test('percentages of a loss are nothing', () => {
    const changes = { counts: [count('A', '2026-01-15', 100n)], refundSlips: [slip('A', '2026-01-15', 900n)] };
    const result = january(
      {
        charges: [
          charge({ amount: percentOf('net-takings', '10'), rest: 'carry' }),
          charge({ id: 'b', amount: percentOf('what-is-left', '10'), rest: 'carry' }),
        ],
      },
      changes,
    );
    expect(result.totals.chargesMinor).toBe(0n);
    expect(carriesOf(result).chargeRests).toEqual([]);
  });
});

test('charges are taken in order: the second percentage sees what the first left', () => {
  const charges = [charge({ amount: percentOf('what-is-left', '50') }), charge({ id: 'b', amount: percentOf('what-is-left', '50') })];
  expect(linesOf(january({ charges }, twoCounts), 'charge')).toEqual({
    [`charge/1/first-call/${operator}/agreement/from/site`]: 50_000n,
    [`charge/1/b/${operator}/agreement/from/site`]: 25_000n,
  });
});

test('an amount of the whole agreement is allocated to the pools by what is left in each', () => {
  const result = january({ grouping: 'machine', charges: [charge({ amount: per('period', 1001n) })] }, twoCounts);
  expect(Object.values(linesOf(result, 'charge'))).toEqual([601n, 400n]);
});

test('a pool without anything left bears nothing', () => {
  const changes = { ...twoCounts, refundSlips: [slip('B', '2026-01-22', 50_000n)] };
  const result = january({ grouping: 'machine', charges: [charge({ amount: per('period', 1000n) })] }, changes);
  expect(Object.keys(linesOf(result, 'charge'))).toEqual([`charge/1/first-call/${operator}/agreement/from/machine:m-A`]);
});

describe('more than what is left', () => {
  const poor = { counts: [count('A', '2026-01-15', 5000n, { coveredFrom: jan(1), coveredUntil: jan(15) })] };

  test('the rest lapses', () => {
    const result = january({ charges: [charge()] }, poor);
    expect(result.totals.chargesMinor).toBe(5000n);
    expect(linesOf(result, 'charge-rest')).toEqual({ [`charge/1/first-call/${operator}/agreement/rest`]: 10_000n });
    expect(carriesOf(result).chargeRests).toEqual([]);
    expect(sharesOf(result)).toEqual({ [operator]: 0n, [site]: 0n });
  });

  test('the rest is carried with its age', () => {
    const result = january({ charges: [charge({ rest: 'carry' })] }, poor);
    expect(carriesOf(result).chargeRests).toEqual([
      {
        chargeId: 'first-call',
        title: 'First call',
        to: operator,
        scope: 'agreement',
        poolKey: null,
        machineIds: [],
        since: '2026-01-01',
        amountMinor: 10_000n,
      },
    ]);
  });

  test('carried rests come before everything new, the oldest first', () => {
    const rest = (since: string, chargeId: string, amountMinor: bigint) =>
      ({ chargeId, title: chargeId, to: site, scope: 'agreement', poolKey: null, machineIds: [], since: localDate(since), amountMinor }) as const;
    const carriesIn: PeriodCarries = {
      losses: [],
      negativeTaxes: [],
      coveredDays: [],
      chargeRests: [rest('2025-12-01', 'new', 3000n), rest('2025-11-01', 'old', 1500n)],
    };
    const result = january({ charges: [charge({ rest: 'carry', amount: per('period', 1000n) })] }, poor, carriesIn);
    expect(Object.entries(linesOf(result, 'charge'))).toEqual([
      [`charge/1/old/${site}/agreement/since/2025-11-01/from/site`, 1500n],
      [`charge/1/new/${site}/agreement/since/2025-12-01/from/site`, 3000n],
      [`charge/1/first-call/${operator}/agreement/from/site`, 500n],
    ]);
    expect(carriesOf(result).chargeRests.map(({ chargeId, amountMinor }) => [chargeId, amountMinor])).toEqual([['first-call', 500n]]);
  });

  test('a rest that is not reached again keeps its age', () => {
    const first = january({ charges: [charge({ rest: 'carry' })] }, poor);
    const second = settle(
      inputs(
        period('2026-02-01', '2026-03-01', {
          versions: [version('2020-01-01', { charges: [charge({ rest: 'carry' })] })],
          counts: [count('A', '2026-02-12', 4000n, { coveredFrom: jan(15), coveredUntil: localDate('2026-02-12') })],
        }),
        { carriesIn: carriesOf(first) },
      ),
    );
    expect(carriesOf(second).chargeRests.map(({ since, amountMinor }) => [since, amountMinor])).toEqual([
      ['2026-01-01', 6000n],
      ['2026-02-01', 30_000n],
    ]);
  });
});

describe('carries find their way when pools change', () => {
  const carriesIn: PeriodCarries = {
    losses: [{ poolKey: 'site', machineIds: ['m-A', 'm-B'], amountMinor: -101n }],
    negativeTaxes: [],
    coveredDays: [],
    chargeRests: [
      { chargeId: 'r', title: 'R', to: site, scope: 'pool', poolKey: 'site', machineIds: ['m-A', 'm-B'], since: jan(1), amountMinor: 1001n },
    ],
  };

  test('by the positive net takings of the machines', () => {
    const result = january({ grouping: 'machine' }, twoCounts, carriesIn);
    expect(linesOf(result, 'loss-in')).toEqual({ 'loss-in/1/machine:m-A': -61n, 'loss-in/1/machine:m-B': -40n });
    expect(Object.values(linesOf(result, 'charge'))).toEqual([601n, 400n]);
  });

  test('to the first pool when the machine has left', () => {
    const gone: PeriodCarries = { ...carriesIn, chargeRests: [], losses: [{ poolKey: 'machine:m-Z', machineIds: ['m-Z'], amountMinor: -5n }] };
    expect(linesOf(january({ grouping: 'machine' }, twoCounts, gone), 'loss-in')).toEqual({ 'loss-in/1/machine:m-A': -5n });
  });

  test('two rests that meet in one pool become one', () => {
    const rest = (machineId: string) =>
      ({
        chargeId: 'r',
        title: 'R',
        to: site,
        scope: 'pool',
        poolKey: `machine:${machineId}`,
        machineIds: [machineId],
        since: jan(1),
        amountMinor: 10n,
      }) as const;
    const result = january({}, twoCounts, { ...carriesIn, losses: [], chargeRests: [rest('m-A'), rest('m-B')] });
    expect(linesOf(result, 'charge')).toEqual({ [`charge/1/r/${site}/site/since/2026-01-01/from/site`]: 20n });
  });

  test('the rest of a machine stays with the machine', () => {
    const charges = [charge({ scope: 'machine', amount: per('period', 50_000n), rest: 'carry' })];
    const first = january({ grouping: 'kind', charges }, { counts: [count('B', '2026-01-22', 40_000n)] });
    expect(carriesOf(first).chargeRests).toMatchObject([{ scope: 'machine', poolKey: 'kind:table', machineIds: ['m-B'], amountMinor: 10_000n }]);
    const second = january({ grouping: 'machine' }, twoCounts, carriesOf(first));
    expect(linesOf(second, 'charge')).toEqual({ [`charge/1/first-call/${operator}/machine:m-B/since/2026-01-01/from/machine:m-B`]: 10_000n });
  });

  test('nothing happens to carries in a period without any collection', () => {
    const result = january({ charges: [charge()], split: { kind: 'shares', shares: shares([operator, '50'], [site, '50']) } }, {}, carriesIn);
    expect(carriesOf(result)).toEqual(carriesIn);
    expect(result.periods[0]?.lines).toEqual([]);
  });
});

test('a month without a collection charges nothing, and the next visit charges for both', () => {
  const charges = [charge({ amount: per('month', 3100n) })];
  const empty = january({ charges });
  expect(empty.totals.chargesMinor).toBe(0n);
  const next = settle(
    inputs(
      period('2026-02-01', '2026-03-01', {
        versions: [version('2020-01-01', { charges })],
        counts: [
          count('A', '2026-03-01', 90_000n, { accountingDate: localDate('2026-02-28'), coveredFrom: jan(1), coveredUntil: localDate('2026-03-01') }),
        ],
      }),
      { carriesIn: carriesOf(empty) },
    ),
  );
  expect(next.totals.chargesMinor).toBe(6200n);
});

test('no day is charged twice: machines emptied on different days', () => {
  const charges = [charge({ amount: per('week', 700n) })];
  const first = january({ charges }, { counts: [count('A', '2026-01-29', 60_000n, { coveredFrom: jan(1), coveredUntil: jan(29) })] });
  expect(first.totals.chargesMinor).toBe(2800n);
  // B was not emptied in January: its 35 days overlap with the 28 that are charged already.
  const second = settle(
    inputs(
      period('2026-02-01', '2026-03-01', {
        versions: [version('2020-01-01', { charges })],
        machines: [machine('A'), machine('B')],
        counts: [count('B', '2026-02-05', 60_000n, { coveredFrom: jan(1), coveredUntil: localDate('2026-02-05') })],
      }),
      { carriesIn: carriesOf(first) },
    ),
  );
  expect(second.totals.chargesMinor).toBe(700n);
  expect(carriesOf(second).coveredDays).toEqual([
    { machineId: 'm-A', kind: 'arcade', ranges: [{ from: '2026-01-01', until: '2026-01-29' }] },
    { machineId: 'm-B', kind: 'arcade', ranges: [{ from: '2026-01-01', until: '2026-02-05' }] },
  ]);
});

describe('rests of machines in a common pool', () => {
  const rest = (tag: string, since: string, amountMinor: bigint) =>
    ({ chargeId: 'r', title: 'R', to: site, scope: 'machine', poolKey: 'site', machineIds: [`m-${tag}`], since: localDate(since), amountMinor }) as const;
  const carried = (...chargeRests: PeriodCarries['chargeRests']): PeriodCarries => ({ losses: [], negativeTaxes: [], coveredDays: [], chargeRests });

  test('each machine keeps its own', () => {
    const result = january({}, twoCounts, carried(rest('A', '2026-01-01', 10n), rest('B', '2026-01-01', 20n)));
    expect(linesOf(result, 'charge')).toEqual({
      [`charge/1/r/${site}/machine:m-A/since/2026-01-01/from/site`]: 10n,
      [`charge/1/r/${site}/machine:m-B/since/2026-01-01/from/site`]: 20n,
    });
  });

  test('the older is taken first, whichever is listed first; what is not reached is carried as it was', () => {
    const poor = { counts: [count('A', '2026-01-15', 12n)] };
    const [older, newer] = [rest('A', '2025-11-01', 10n), rest('B', '2025-12-01', 20n)];
    for (const listed of [carried(older, newer), carried(newer, older)]) {
      const result = january({}, poor, listed);
      expect(Object.values(linesOf(result, 'charge'))).toEqual([10n, 2n]);
      expect(carriesOf(result).chargeRests).toEqual([{ ...newer, amountMinor: 18n }]);
    }
  });
});

test('the rest of a pool remembers its machines', () => {
  const result = january({ charges: [charge({ scope: 'pool', amount: per('period', 500_000n), rest: 'carry' })] }, twoCounts);
  expect(carriesOf(result).chargeRests).toMatchObject([{ scope: 'pool', poolKey: 'site', machineIds: ['m-A', 'm-B'], amountMinor: 400_000n }]);
});

test('months of machines are not weeks', () => {
  const charges = (unit: 'machine-week' | 'machine-month') => january({ charges: [charge({ amount: per(unit, 3100n) })] }, twoCounts).totals.chargesMinor;
  // Fourteen days of each of two machines.
  expect([charges('machine-week'), charges('machine-month')]).toEqual([12_400n, 2800n]);
});
