/**
 * Taxes on takings against published figures. [P]: inputs and outputs are printed in the source. [R]: the rule or rate
 * is printed, the output is arithmetic on it. [M]: from memory, not verified. Benchmarks, not advice: who settles for
 * real checks with the tax authority of the place.
 */
import { localDate } from '#domain/calendar/local-date';
import { decimal, toBillionths } from '#domain/money/decimal';
import { settle } from '#domain/settlement/settle';
import type { PeriodInputs, SettlementResult } from '#domain/settlement/types';
import { insideTax } from '#domain/tax/inside';
import { onTakingsTax } from '#domain/tax/on-takings';
import type { TaxRule } from '#domain/tax/types';
import {
  breakIn,
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

/** A month in which machine A earned the amount over the whole month. */
function month(takingsMinor: bigint, taxRules: readonly TaxRule[], changes: Partial<PeriodInputs> = {}): SettlementResult {
  return settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        taxRules,
        counts: [count('A', '2026-01-31', takingsMinor, { coveredFrom: localDate('2026-01-01'), coveredUntil: localDate('2026-02-01') })],
        ...changes,
      }),
    ),
  );
}

function taxOf(result: SettlementResult): bigint {
  return result.taxes.reduce((sum, tax) => sum + tax.amountMinor, 0n);
}

function taxable(result: SettlementResult): bigint | undefined {
  return result.periods[0]?.lines.find((line) => line.kind === 'tax-taxable')?.amountMinor;
}

describe('Florida Dept. of Revenue, Form DR-15N, line A', () => {
  test('[P] gross 100.00 by 1.045: taxable 95.69, tax 4.31, of which surtax 0.48', () => {
    const result = month(10_000n, [insideRule(['4', '0.5'])]);
    expect(taxable(result)).toBe(9569n);
    expect(result.taxes.map((tax) => tax.amountMinor)).toEqual([383n, 48n]);
    expect(result.totals.sharesMinor).toBe(9569n);
  });

  test('[R] gross 1,000.00 with 1 % surtax: 952.38, 47.62, surtax 9.52', () => {
    const result = month(100_000n, [insideRule(['4', '1'])]);
    expect(taxable(result)).toBe(95_238n);
    expect(taxOf(result)).toBe(4762n);
    expect(result.taxes[1]?.amountMinor).toBe(952n);
  });

  // Rule 12A-15.011(1) F.A.C. prints the divisors.
  test.each([
    ['0', 104_000n],
    ['0.25', 104_250n],
    ['0.5', 104_500n],
    ['0.75', 104_750n],
    ['1', 105_000n],
    ['1.25', 105_250n],
    ['1.5', 105_500n],
    ['1.75', 105_750n],
    ['2', 106_000n],
  ])('[P] surtax %s %%: takings of the divisor times 1,000.00 (%d cents) leave 1,000.00 taxable', (surtax, baseMinor) => {
    const { taxableMinor, exactTaxable } = insideTax({ baseMinor, rates: ['4', surtax].map((rate) => toBillionths(decimal(rate))) });
    expect(taxableMinor).toBe(100_000n);
    expect(exactTaxable).toEqual({ numerator: 100_000n, denominator: 1n });
  });

  test('[P] the tax is computed for the reporting period, not for each collection', () => {
    const twice = month(0n, [insideRule(['4', '0.5'])], { counts: [count('A', '2026-01-10', 5011n), count('A', '2026-01-20', 4989n)] });
    expect(taxOf(twice)).toBe(431n);
    expect(
      insideTax({ baseMinor: 5011n, rates: [4_500_000_000n] }).taxMinor + insideTax({ baseMinor: 4989n, rates: [4_500_000_000n] }).taxMinor,
    ).toBe(431n);
  });
});

test('[R] Arkansas Gross Receipts Tax Rule GR-16(B), at an illustrative 9.5 %: 1,000.00 is 913.24 and 86.76', () => {
  const result = month(100_000n, [insideRule(['6.5', '3'])]);
  expect(taxable(result)).toBe(91_324n);
  expect(taxOf(result)).toBe(8676n);
});

test.each([
  ['5', 3500n],
  ['6', 4200n],
])('[P] Idaho IDAPA 35.01.02.109: 700.00 x %s %% per device instead of sales tax', (rate, tax) => {
  const [amountMinor = 0n] = onTakingsTax({ bases: [{ baseMinor: 70_000n, rate: toBillionths(decimal(rate)) }], rounding: 'apart' });
  const decal = fixedRule(amountMinor, { per: 'year', timing: { kind: 'when-due', month: 1, day: 1, onPlacement: true } });
  expect(taxOf(month(100_000n, [decal]))).toBe(tax);
});

describe('[P] Nebraska Rev. Stat. 77-3004: 35.00 per device, 20.00 if placed after 1 July', () => {
  const decal = fixedRule(3500n, {
    per: 'year',
    timing: { kind: 'when-due', month: 1, day: 1, onPlacement: true },
    components: [{ id: 'decal', title: 'Occupation tax', amountMinor: 3500n, placedLater: { month: 7, day: 2, amountMinor: 2000n } }],
  });
  const placed = (from: string) => [machine('A', { placements: [{ id: 'p-A', from: localDate(from), until: null }] })];
  const settled = (from: string, until: string, placedOn: string) =>
    settle(inputs(period(from, until, { taxRules: [decal], machines: placed(placedOn) })));

  test.each([
    ['in place on 1 January', '2026-01-01', '2026-02-01', '2025-03-01', 3500n],
    ['placed on 10 March', '2026-03-01', '2026-04-01', '2026-03-10', 3500n],
    ['placed on 1 July', '2026-07-01', '2026-08-01', '2026-07-01', 3500n],
    ['placed on 2 July', '2026-07-01', '2026-08-01', '2026-07-02', 2000n],
    ['not again in August', '2026-08-01', '2026-09-01', '2026-07-02', 0n],
    ['in full the year after', '2027-01-01', '2027-02-01', '2026-07-02', 3500n],
  ])('%s', (_title, from, until, placedOn, tax) => {
    expect(taxOf(settled(from, until, placedOn))).toBe(tax);
  });
});

test('[P] Texas Comptroller, coin-operated machines: 60.00 a machine, so 3,000.00 for fifty', () => {
  const machines = Array.from({ length: 50 }, (_each, index) => machine(`T${index}`));
  const decal = fixedRule(6000n, { per: 'year', timing: { kind: 'when-due', month: 1, day: 1, onPlacement: false } });
  expect(taxOf(settle(inputs(period('2026-01-01', '2026-02-01', { taxRules: [decal], machines }))))).toBe(300_000n);
});

describe('[R] Limburg an der Lahn, device tax: 5 %, at most 30.00 per machine and month', () => {
  const rule = takingsRule(['5'], { capPerMachineMonthMinor: 3000n });

  test.each([
    [40_000n, 2000n],
    [60_000n, 3000n],
    [90_000n, 3000n],
  ])('base %d in a full month', (base, tax) => {
    expect(taxOf(month(base, [rule]))).toBe(tax);
  });

  test('the cap is per machine, and scaled by the days of each month', () => {
    const two = month(0n, [rule], {
      machines: [machine('A'), machine('B')],
      counts: [
        count('A', '2026-01-31', 90_000n, { coveredFrom: localDate('2026-01-01'), coveredUntil: localDate('2026-02-01') }),
        // 15 of 31 days and 16 of 28 days: 14.516 + 17.143 = 31.659.
        count('B', '2026-02-01', 90_000n, {
          accountingDate: localDate('2026-01-31'),
          coveredFrom: localDate('2026-01-17'),
          coveredUntil: localDate('2026-02-17'),
        }),
      ],
    });
    expect(two.periods[0]?.lines.filter((line) => line.kind === 'tax-of-machine').map((line) => line.amountMinor)).toEqual([3000n, 3166n]);
  });
});

describe('HMRC VBANDG12200, 12500, 12600', () => {
  // HMRC VRS8515 prints the fraction: at 20 % one sixth of the takings.
  test('[R] takings contain the VAT: 120.00 contain 20.00', () => {
    expect(taxOf(month(12_000n, [insideRule(['20'])]))).toBe(2000n);
  });

  test('[P] nothing is deducted first, not even theft', () => {
    const robbed = month(9000n, [insideRule(['20'], { breakIns: 'in-base' })], { breakIns: [breakIn('A', '2026-01-20', 3000n)] });
    expect(taxOf(robbed)).toBe(2000n);
    expect(robbed.totals.netTakingsMinor).toBe(9000n);
  });
});

describe('[R] UK Finance Act 2012 Sch. 24, duty by type of machine at 5, 20 and 25 %', () => {
  const duty = takingsRule([], {
    negative: 'carry',
    components: [
      { id: 'type-1', title: 'Type 1', ratePercent: decimal('5'), machineKinds: ['type-1'] },
      { id: 'type-2', title: 'Type 2', ratePercent: decimal('20'), machineKinds: ['type-2'] },
      { id: 'type-3', title: 'Type 3', ratePercent: decimal('25'), machineKinds: ['type-3'] },
    ],
  });
  const machines = ['1', '2', '3'].map((type) => machine(type, { kind: `type-${type}` }));

  test('1,000.00, 2,000.00 and 400.00 make 550.00', () => {
    const result = month(0n, [duty], {
      machines,
      counts: [count('1', '2026-01-20', 100_000n), count('2', '2026-01-20', 200_000n), count('3', '2026-01-20', 40_000n)],
    });
    expect(result.taxes.map((tax) => tax.amountMinor)).toEqual([5000n, 40_000n, 10_000n]);
    expect(taxOf(result)).toBe(55_000n);
  });

  test('a negative total is carried to the next period, never refunded', () => {
    const january = period('2026-01-01', '2026-02-01', {
      machines,
      taxRules: [duty],
      counts: [count('2', '2026-01-20', 10_000n)],
      refundSlips: [slip('2', '2026-01-20', 60_000n)],
    });
    const first = settle(inputs(january));
    expect(taxOf(first)).toBe(0n);
    const carries = first.periods[0]?.carriesOut;
    expect(carries?.negativeTaxes).toEqual([{ taxId: 'sales-tax', amountMinor: -10_000n }]);
    if (carries === undefined) throw new Error('a period has carries');
    const february = period('2026-02-01', '2026-03-01', { machines, taxRules: [duty], counts: [count('2', '2026-02-20', 90_000n)] });
    const second = settle(inputs(february, { carriesIn: carries }));
    expect(taxOf(second)).toBe(8000n);
    expect(second.periods[0]?.carriesOut.negativeTaxes).toEqual([]);
  });
});

test('[P] Canada Excise Tax Act 165.1(2): a device that takes only a single coin of 25 cents or less: tax 0.00', () => {
  const result = month(0n, [insideRule(['5'], { machineKinds: ['arcade'] })], {
    machines: [machine('A'), machine('Q', { kind: 'single-coin' })],
    counts: [count('A', '2026-01-20', 10_500n), count('Q', '2026-01-20', 10_500n)],
  });
  expect(taxOf(result)).toBe(500n);
  expect(result.periods[0]?.lines.filter((line) => line.kind === 'tax-of-machine').map((line) => line.about.machineId)).toEqual(['m-A']);
});

// Arizona R15-5-403, Wisconsin Tax 11.52, 61 Pa. Code 47.1, WAC 458-20-187.
test.each([
  ['50', '50'],
  ['40', '60'],
])("[P] the base knows no deduction of the site's share: %s and %s", (toOperator, toSite) => {
  const versions = [version('2020-01-01', { split: { kind: 'shares', shares: shares([operator, toOperator], [site, toSite]) } })];
  expect(taxOf(month(100_000n, [takingsRule(['5.6'])], { versions }))).toBe(5600n);
});

describe('Streamlined Sales and Use Tax Agreement s. 324: 4 % and 0.5 % on 10.12', () => {
  test('[P] together 0.46', () => {
    const result = month(1012n, [takingsRule(['4', '0.5'], { rounding: 'together' })]);
    expect(taxOf(result)).toBe(46n);
    expect(result.taxes.map((tax) => tax.amountMinor)).toEqual([41n, 5n]);
  });

  test('[P] apart 0.40 and 0.05', () => {
    expect(month(1012n, [takingsRule(['4', '0.5'])]).taxes.map((tax) => tax.amountMinor)).toEqual([40n, 5n]);
  });
});
