import { localDate } from '#domain/calendar/local-date';
import { settle } from '#domain/settlement/settle';
import type { AgreementVersion } from '#domain/terms/types';
import {
  breakIn,
  cashless,
  charge,
  count,
  fixedRule,
  inputs,
  insideRule,
  machine,
  operator,
  period,
  shares,
  site,
  slip,
  takingsRule,
  version,
} from '#tests/support/settlement-inputs';
import { carriesOf, linesOf, sharesOf } from '#tests/support/settlement-lines';

type Changes = Parameters<typeof period>[2];

function january(versions: readonly AgreementVersion[], changes: Changes) {
  return settle(inputs(period('2026-01-01', '2026-02-01', { versions, machines: [machine('A'), machine('B')], ...changes })));
}

const jan = (day: number) => localDate(`2026-01-${String(day).padStart(2, '0')}`);

/** 10 days under the old terms, 20 under the new ones. */
const counts = [
  count('A', '2026-01-11', 30_000n, { coveredFrom: jan(1), coveredUntil: jan(11) }),
  count('A', '2026-01-31', 60_000n, { coveredFrom: jan(11), coveredUntil: jan(31) }),
];

test('a count is settled under the terms of its accounting date', () => {
  const result = january(
    [version('2020-01-01'), version('2026-01-20', { split: { kind: 'shares', shares: shares([operator, '60'], [site, '40']) } })],
    { counts },
  );
  expect(linesOf(result, 'share')).toEqual({
    [`share/1/site/${operator}`]: 15_000n,
    [`share/1/site/${site}`]: 15_000n,
    [`share/2/site/${operator}`]: 36_000n,
    [`share/2/site/${site}`]: 24_000n,
  });
});

test('a version that starts on the date of a count holds for it', () => {
  const result = january(
    [version('2020-01-01'), version('2026-01-11', { split: { kind: 'shares', shares: shares([operator, '100'], [site, '0']) } })],
    { counts },
  );
  expect(sharesOf(result)[site]).toBe(0n);
});

test('an amount per period stands whole: two groups share it by their days', () => {
  const charges = [charge({ amount: { kind: 'amount', per: 'period', amountMinor: 3001n } })];
  const result = january([version('2020-01-01', { charges }), version('2026-01-20', { charges, loss: 'share' })], { counts });
  expect(Object.values(linesOf(result, 'charge'))).toEqual([1000n, 2001n]);
});

test('only the new terms charge it: they charge their part', () => {
  const charges = [charge({ amount: { kind: 'amount', per: 'period', amountMinor: 3000n } })];
  expect(january([version('2020-01-01'), version('2026-01-20', { charges })], { counts }).totals.chargesMinor).toBe(2000n);
});

test('it is shared too where the new terms form the pools otherwise: a pool looks for its machines in the other group', () => {
  const charges = [charge({ amount: { kind: 'amount', per: 'period', amountMinor: 3000n }, scope: 'pool' })];
  const guarantees = [{ id: 'floor', kind: 'at-least', party: site, amountMinor: 60_000n, per: 'period', scope: 'pool', from: 'others' } as const];
  const result = january(
    [version('2020-01-01', { charges, guarantees, grouping: 'kind' }), version('2026-01-20', { charges, guarantees, grouping: 'machine' })],
    { counts },
  );
  expect(linesOf(result, 'charge')).toEqual({
    'charge/1/first-call/operator/kind:arcade/from/kind:arcade': 1000n,
    'charge/2/first-call/operator/machine:m-A/from/machine:m-A': 2000n,
  });
  // 14,500 lifted to 20,000 and 29,000 to 40,000.
  expect(sharesOf(result)[site]).toBe(60_000n);
});

test('an amount per week follows the days of each group, and no day twice', () => {
  const charges = [charge({ amount: { kind: 'amount', per: 'week', amountMinor: 700n } })];
  const overlapping = [...counts, count('B', '2026-01-31', 5000n, { coveredFrom: jan(1), coveredUntil: jan(31) })];
  const result = january([version('2020-01-01', { charges }), version('2026-01-20', { charges, loss: 'share' })], { counts: overlapping });
  expect(Object.values(linesOf(result, 'charge'))).toEqual([1000n, 2000n]);
});

test('the loss and the rest of the first group meet the second one', () => {
  const charges = [charge({ amount: { kind: 'amount', per: 'week', amountMinor: 7000n }, rest: 'carry' })];
  const poor = [
    count('A', '2026-01-11', 1000n, { coveredFrom: jan(4), coveredUntil: jan(11) }),
    count('A', '2026-01-31', 60_000n, { coveredFrom: jan(24), coveredUntil: jan(31) }),
  ];
  const withRest = january([version('2020-01-01', { charges }), version('2026-01-20', { charges, loss: 'share' })], { counts: poor });
  expect(Object.values(linesOf(withRest, 'charge'))).toEqual([1000n, 6000n, 7000n]);
  const withLoss = january([version('2020-01-01'), version('2026-01-20', { basis: 'metered' })], {
    counts: poor,
    refundSlips: [slip('A', '2026-01-11', 3000n)],
  });
  expect(linesOf(withLoss, 'loss-in')).toEqual({ 'loss-in/2/site': -2000n });
  expect(withLoss.totals).toMatchObject({ lossInMinor: -2000n, lossOutMinor: -2000n, sharesMinor: 58_000n });
  expect(carriesOf(withLoss).losses).toEqual([]);
});

test('guarantees of both groups add up and are tested once', () => {
  const floor = (amountMinor: bigint) => [
    { id: 'g', kind: 'at-least', party: site, amountMinor, per: 'period', scope: 'agreement', from: 'operator' } as const,
  ];
  // 30000 x 10/30 + 90000 x 20/30 = 70000; the site's shares are 45000.
  const result = january([version('2020-01-01', { guarantees: floor(30_000n) }), version('2026-01-20', { guarantees: floor(90_000n) })], { counts });
  expect(sharesOf(result)).toEqual({ [operator]: 20_000n, [site]: 70_000n });
});

test('the same terms signed again are no new group', () => {
  const result = january([version('2020-01-01'), version('2026-01-20')], { counts });
  expect(Object.keys(linesOf(result, 'share'))).toEqual([`share/1/site/${operator}`, `share/1/site/${site}`]);
});

test('terms may start in mid-period; what was counted before them is settled under the first', () => {
  expect(sharesOf(january([version('2026-01-20')], { counts }))).toEqual({ [operator]: 45_000n, [site]: 45_000n });
});

describe('tax and groups', () => {
  const versions = [version('2020-01-01'), version('2026-01-20', { tax: { filedBy: 'site', borneBy: 'as-the-rule-says' } })];

  test('a change of terms does not cut the tax: one base, then machine, then group', () => {
    const result = january(versions, { counts, taxRules: [insideRule(['10'])] });
    // 90000 / 1.1 = 81818.18: tax 8182, by 30000 and 60000.
    expect(linesOf(result, 'tax')).toEqual({ 'tax/rule-1/part-1/1/operator/all': 2727n, 'tax/rule-1/part-1/2/site/all': 5455n });
    expect(result.payables[0]?.taxFiledMinor).toBe(5455n);
  });

  test('a new rate cuts the tax and not the terms', () => {
    const taxRules = [insideRule(['10'], { until: jan(20) }), insideRule(['20'], { id: 'rule-2', from: jan(20) })];
    const result = january([version('2020-01-01')], { counts, taxRules });
    expect(linesOf(result, 'tax-base')).toEqual({ 'tax/rule-1/base': 30_000n, 'tax/rule-2/base': 60_000n });
    expect(linesOf(result, 'tax')).toEqual({ 'tax/rule-1/part-1/1/operator/all': 2727n, 'tax/rule-2/part-1/1/operator/all': 10_000n });
    expect(Object.keys(linesOf(result, 'share'))).toHaveLength(2);
  });

  test("a machine's fixed tax goes to the groups by its positive net takings", () => {
    const result = january(versions, { counts, taxRules: [fixedRule(3100n)] });
    expect(Object.values(linesOf(result, 'tax'))).toEqual([1000n, 2000n]);
  });

  test('where there is nothing to go by, the first group with the machine bears it', () => {
    const nothing = counts.map((each) => ({ ...each, coinMinor: 0n }));
    const result = january(versions, { counts: nothing, taxRules: [fixedRule(3100n)] });
    expect(linesOf(result, 'tax')).toMatchObject({ 'tax/rule-1/part-1/1/operator/all': 3000n });
  });

  test('but a tax that began after that group bears nothing in it', () => {
    const [early, late] = counts;
    if (early === undefined || late === undefined) throw new Error('two counts');
    const taxRules = [fixedRule(3100n, { from: jan(26) })];
    const result = january(versions, { counts: [early, { ...late, coinMinor: 0n }], taxRules });
    expect(Object.values(linesOf(result, 'tax-of-machine'))).toEqual([2000n]);
    expect(linesOf(result, 'tax')).toMatchObject({ 'tax/rule-1/part-1/2/site/all': 2000n });
  });
});

describe('tax by machine', () => {
  const two = [count('A', '2026-01-11', 30_000n), count('B', '2026-01-11', 60_000n)];

  test('a rule covers only its kinds', () => {
    const machines = [machine('A'), machine('B', { kind: 'table' })];
    const result = january([version('2020-01-01')], { machines, counts: two, taxRules: [takingsRule(['10'], { machineKinds: ['table'] })] });
    expect(linesOf(result, 'tax-of-machine')).toEqual({ 'tax/rule-1/part-1/1/operator/all/m-B': 6000n });
  });

  test('a machine with a loss lowers the base but bears no tax', () => {
    const result = january([version('2020-01-01')], {
      counts: two,
      refundSlips: [slip('A', '2026-01-11', 40_000n)],
      taxRules: [takingsRule(['10'])],
    });
    expect(linesOf(result, 'tax-of-machine')).toEqual({ 'tax/rule-1/part-1/1/operator/all/m-B': 5000n });
  });

  test('borne by the operator it leaves the pool alone', () => {
    const result = january([version('2020-01-01', { tax: { filedBy: 'site', borneBy: 'operator' } })], {
      counts: two,
      taxRules: [takingsRule(['10'])],
    });
    expect(result.totals).toMatchObject({ taxBeforeSplitMinor: 0n, operatorTaxMinor: 9000n, sharesMinor: 90_000n });
    expect(result.payables[0]).toMatchObject({ party: site, sharesMinor: 45_000n, taxFiledMinor: 9000n, amountMinor: 54_000n });
    expect(result.postings).toContainEqual({ account: { code: 'operator-tax', holderId: 'area' }, amountMinor: 9000n });
  });

  test('a negative tax is zero, or carried and set against the next', () => {
    const losing = { counts: [count('A', '2026-01-11', 0n)], refundSlips: [slip('A', '2026-01-11', 1000n)] };
    const zero = january([version('2020-01-01')], { ...losing, taxRules: [takingsRule(['10'])] });
    expect(carriesOf(zero).negativeTaxes).toEqual([]);
    expect(zero.totals.taxBeforeSplitMinor).toBe(0n);
    const carried = january([version('2020-01-01')], { ...losing, taxRules: [takingsRule(['10', '5'], { negative: 'carry' })] });
    expect(carriesOf(carried).negativeTaxes).toEqual([{ taxId: 'sales-tax', amountMinor: -150n }]);
    const next = settle(
      inputs(
        period('2026-02-01', '2026-03-01', {
          counts: [count('A', '2026-02-11', 2000n)],
          taxRules: [takingsRule(['10', '5'], { negative: 'carry' })],
        }),
        { carriesIn: carriesOf(carried) },
      ),
    );
    // 200 and 100, less 150, by 200 and 100.
    expect(next.taxes.map((tax) => tax.amountMinor)).toEqual([100n, 50n]);
  });

  test('a carried tax waits while nothing is taxed', () => {
    const carriesIn = { losses: [], chargeRests: [], coveredDays: [], negativeTaxes: [{ taxId: 'sales-tax', amountMinor: -150n }] };
    const result = settle(
      inputs(
        period('2026-01-01', '2026-02-01', {
          counts: two.slice(0, 1),
          machines: [machine('A')],
          taxRules: [takingsRule(['10'], { machineKinds: ['table'], negative: 'carry' })],
        }),
        { carriesIn },
      ),
    );
    expect(carriesOf(result).negativeTaxes).toEqual(carriesIn.negativeTaxes);
  });

  test('a cap leaves the proportion of the components', () => {
    const rule = takingsRule(['6', '3'], { capPerMachineMonthMinor: 900n });
    const whole = two.map((each) => ({ ...each, coveredFrom: jan(1), coveredUntil: localDate('2026-02-01') }));
    expect(january([version('2020-01-01')], { counts: whole, taxRules: [rule] }).taxes.map((tax) => tax.amountMinor)).toEqual([1200n, 600n]);
  });

  test('a cap that is not reached changes nothing; a loss of one machine does not lower the tax of another', () => {
    const rule = insideRule(['25'], { capPerMachineMonthMinor: 10n ** 9n });
    const result = january([version('2020-01-01')], { counts: two, refundSlips: [slip('A', '2026-01-11', 40_000n)], taxRules: [rule] });
    expect(linesOf(result, 'tax-of-machine')).toEqual({ 'tax/rule-1/part-1/1/operator/all/m-B': 12_000n });
  });

  test('a carried negative tax is set against a capped one', () => {
    const carriesIn = { losses: [], chargeRests: [], coveredDays: [], negativeTaxes: [{ taxId: 'sales-tax', amountMinor: -3000n }] };
    const rule = takingsRule(['10'], { capPerMachineMonthMinor: 10n ** 9n, negative: 'carry' });
    const result = settle(
      inputs(period('2026-01-01', '2026-02-01', { counts: two, machines: [machine('A'), machine('B')], taxRules: [rule] }), { carriesIn }),
    );
    expect(Object.values(linesOf(result, 'tax-of-machine'))).toEqual([2000n, 4000n]);
  });

  test('a fixed tax of the year, by days and when due', () => {
    expect(january([version('2020-01-01')], { counts, taxRules: [fixedRule(36_500n, { per: 'year' })] }).totals.taxBeforeSplitMinor).toBe(3000n);
    const due = { kind: 'when-due', month: 1, day: 31, onPlacement: false } as const;
    expect(january([version('2020-01-01')], { counts, taxRules: [fixedRule(500n, { per: 'month', timing: due })] }).totals.taxBeforeSplitMinor).toBe(
      1000n,
    );
    const short = settle(inputs(period('2026-02-01', '2026-03-01', { taxRules: [fixedRule(500n, { per: 'month', timing: due })] })));
    // Due on the last day of a shorter month, also when nothing was collected; it opens a loss.
    expect(short.totals).toMatchObject({ taxBeforeSplitMinor: 500n, lossOutMinor: -500n });
  });
});

test('rounded together, the later components get at most what is left and the first takes the rest', () => {
  // 3 x 0.20 three times is 1.8, so 2; each later component rounds to 1.
  const result = january([version('2020-01-01')], {
    counts: [count('A', '2026-01-11', 3n)],
    taxRules: [takingsRule(['20', '20', '20'], { rounding: 'together' })],
  });
  expect(result.taxes.map((tax) => tax.amountMinor)).toEqual([0n, 1n, 1n]);
});

test('figures of one machine on both sides of a change of tax are added up', () => {
  const taxRules = [takingsRule(['10'], { until: jan(16), borneBy: 'operator' }), takingsRule(['20'], { id: 'rule-2', from: jan(16), borneBy: 'operator' })];
  const both = (day: string) => ({
    counts: [count('A', day, 1000n, { noteMinor: 500n, meteredMinor: 1700n, tokens: [{ tokenId: 'brass', pieces: 2 }] })],
    refundSlips: [slip('A', day, 30n)],
    cashless: [cashless('A', day, 400n, 100n)],
    breakIns: [breakIn('A', day, 50n)],
  });
  const [first, second] = [both('2026-01-10'), both('2026-01-20')];
  const result = january([version('2020-01-01', { basis: 'metered', tokens: [{ tokenId: 'brass', valueMinor: 25n }], breakIns: { borneBy: 'operator' } })], {
    taxRules,
    counts: [...first.counts, ...second.counts],
    refundSlips: [...first.refundSlips, ...second.refundSlips],
    cashless: [...first.cashless, ...second.cashless],
    breakIns: [...first.breakIns, ...second.breakIns],
  });
  expect(linesOf(result, 'cash')).toEqual({ 'takings/1/m-A/cash': 3000n });
  // The meters show 200 more than was counted, of which the 50 stolen are made good apart.
  expect(Object.values(linesOf(result, 'metered-difference'))).toEqual([300n]);
  expect(Object.values(linesOf(result, 'tokens'))).toEqual([100n]);
  expect(Object.values(linesOf(result, 'cashless'))).toEqual([600n]);
  expect(Object.values(linesOf(result, 'break-in'))).toEqual([100n]);
  expect(Object.values(linesOf(result, 'refund'))).toEqual([60n]);
  expect(result.totals.netTakingsMinor).toBe(4040n);
});

test('a tax of one machine goes to the groups by what it earned in them, else to the first in which it was counted', () => {
  const versions = [version('2020-01-01'), version('2026-01-20', { loss: 'share' })];
  const spread = (early: bigint, late: bigint, back: bigint) =>
    linesOf(
      january(versions, {
        taxRules: [fixedRule(3100n, { timing: { kind: 'when-due', month: 1, day: 31, onPlacement: false } })],
        machines: [machine('A')],
        counts: [count('A', '2026-01-11', early), count('A', '2026-01-31', late)],
        refundSlips: back === 0n ? [] : [slip('A', '2026-01-31', back)],
      }),
      'tax',
    );
  expect(Object.values(spread(10_000n, 30_000n, 0n))).toEqual([775n, 2325n]);
  expect(Object.values(spread(10_000n, 0n, 500n))).toEqual([3100n, 0n]);
  expect(Object.values(spread(0n, 0n, 500n))).toEqual([3100n, 0n]);
});

test('the order in which versions, rules and carried taxes are listed does not matter', () => {
  const versions = [version('2020-01-01'), version('2026-01-12', { loss: 'share' }), version('2026-01-20', { loss: 'carry', grouping: 'machine' }), version('2026-02-01')];
  const taxRules = [takingsRule(['5'], { until: jan(16) }), takingsRule(['7'], { id: 'rule-2', from: jan(16), until: localDate('2026-02-01') })];
  const all = [...counts, count('A', '2026-01-15', 9999n, { coveredFrom: jan(11), coveredUntil: jan(15) })];
  expect(january([...versions].reverse(), { counts: all, taxRules: [...taxRules].reverse() }).totals).toEqual(january(versions, { counts: all, taxRules }).totals);
  expect(january([versions[2], versions[0], versions[3], versions[1]].flatMap((each) => each ?? []), { counts: all, taxRules }).periods[0]?.lines).toEqual(
    january(versions, { counts: all, taxRules }).periods[0]?.lines,
  );
});

test('a count falls between the changes of terms and of tax around it', () => {
  const versions = [version('2026-01-20', { loss: 'carry', grouping: 'machine' }), version('2020-01-01'), version('2026-01-12', { loss: 'share' })];
  const taxRules = [takingsRule(['7'], { id: 'rule-2', from: jan(16) }), takingsRule(['5'], { until: jan(16) })];
  const days = ['2026-01-11', '2026-01-12', '2026-01-16', '2026-01-19', '2026-01-20', '2026-01-31'];
  const result = january(versions, { machines: [machine('A')], taxRules, counts: days.map((day) => count('A', day, 1000n)) });
  expect(linesOf(result, 'net-takings')).toEqual({
    'takings/1/m-A/net-takings': 1000n,
    'takings/2/m-A/net-takings': 3000n,
    'takings/3/m-A/net-takings': 2000n,
  });
  expect(linesOf(result, 'tax-base')).toEqual({ 'tax/rule-1/base': 2000n, 'tax/rule-2/base': 4000n });
});

test('the payout follows the terms of the last day, in whatever order versions are listed', () => {
  const coin = (smallestCoinMinor: bigint) => ({ payout: { smallestMinor: 0n, negative: 'carry' as const, smallestCoinMinor } });
  const versions = [version('2026-02-01', coin(100n)), version('2026-01-20', coin(10n)), version('2020-01-01', coin(5n))];
  for (const listed of [versions, [...versions].reverse(), versions.slice(1), [...versions.slice(1)].reverse()]) {
    expect(january(listed, { counts: [count('A', '2026-01-11', 2226n)] }).payables[0]?.cashPayment).toEqual({ payMinor: 1110n, roundingMinor: -3n });
  }
});

test('an amount per period and pool is shared by the days of the same machines, though the pools were others before', () => {
  const charges = [charge({ scope: 'pool', amount: { kind: 'amount', per: 'period', amountMinor: 3000n } })];
  const versions = [version('2020-01-01', { charges }), version('2026-01-20', { charges, grouping: 'machine' })];
  const result = january(versions, { counts: [...counts, count('B', '2026-01-31', 60_000n, { coveredFrom: jan(11), coveredUntil: jan(31) })] });
  expect(Object.entries(linesOf(result, 'charge')).map(([key, amountMinor]) => [key.split('/').slice(-1)[0], amountMinor])).toEqual([
    ['site', 1000n],
    ['machine:m-A', 2000n],
    ['machine:m-B', 3000n],
  ]);
});

test('each tax says how it came about', () => {
  const said = (rule: Parameters<typeof january>[1], carries = inputs(period('2026-01-01', '2026-02-01')).carriesIn) =>
    settle(inputs(period('2026-01-01', '2026-02-01', rule), { carriesIn: carries })).periods[0]?.lines.flatMap((line) =>
      line.kind === 'tax' ? [line.explanation?.formula] : [],
    );
  const day = [count('A', '2026-01-15', 10_000n)];
  const back = [slip('A', '2026-01-15', 20_000n)];
  const negative = { ...inputs(period('2026-01-01', '2026-02-01')).carriesIn, negativeTaxes: [{ taxId: 'sales-tax', amountMinor: -100n }] };
  expect(said({ counts: day, taxRules: [fixedRule(3100n)] })).toEqual(['tax-fixed-by-days']);
  expect(said({ counts: day, taxRules: [fixedRule(3100n, { timing: { kind: 'when-due', month: 1, day: 1, onPlacement: false } })] })).toEqual(['tax-fixed-when-due']);
  expect(said({ counts: day, taxRules: [takingsRule(['5'], { capPerMachineMonthMinor: 10n })] })).toEqual(['tax-capped']);
  expect(said({ counts: day, taxRules: [takingsRule(['5'], { negative: 'carry' })] }, negative)).toEqual(['tax-set-against-carried']);
  expect(said({ counts: day, refundSlips: back, taxRules: [takingsRule(['5'])] })).toEqual(['tax-not-below-zero']);
  expect(said({ counts: day, taxRules: [takingsRule(['5', '1'])] })).toEqual(['base-times-rate', 'base-times-rate']);
  expect(said({ counts: day, taxRules: [insideRule(['5', '1'])] })).toEqual(['tax-first-component-takes-rest', 'taxable-times-rate']);
});

test('a cap is for a month, and a carried negative tax lowers what is under it', () => {
  const rule = takingsRule(['5'], { capPerMachineMonthMinor: 3100n, negative: 'carry' });
  const counted = [count('A', '2026-01-15', 100_000n, { coveredFrom: jan(1), coveredUntil: jan(11) })];
  const carriesIn = { ...inputs(period('2026-01-01', '2026-02-01')).carriesIn, negativeTaxes: [{ taxId: 'sales-tax', amountMinor: -400n }] };
  const settled = (changes: Partial<Parameters<typeof inputs>[1]>) => settle(inputs(period('2026-01-01', '2026-02-01', { counts: counted, taxRules: [rule] }), changes));
  expect(settled({}).totals.taxBeforeSplitMinor).toBe(1000n);
  expect(settled({ carriesIn }).totals.taxBeforeSplitMinor).toBe(600n);
  expect(Object.values(linesOf(settled({ carriesIn }), 'tax-of-machine'))).toEqual([600n]);
});
