/**
 * Taxes in and on takings as tax authorities and courts print them. [P]: inputs and outputs are printed in the source.
 * [R]: the rule or rate is printed, the output is arithmetic on it. [S]: read in a secondary source. Dates are those that
 * the stored copies bear. Benchmarks, not advice.
 */
import { localDate } from '#domain/calendar/local-date';
import { decimal, toBillionths } from '#domain/money/decimal';
import { settle } from '#domain/settlement/settle';
import type { PeriodInputs, SettlementResult } from '#domain/settlement/types';
import { insideTax } from '#domain/tax/inside';
import type { TaxRule } from '#domain/tax/types';
import { breakIn, charge, count, fixedRule, inputs, insideRule, machine, operator, period, site, slip, takingsRule, version } from '#tests/support/settlement-inputs';
import { linesOf, payableTo } from '#tests/support/settlement-lines';

function month(takingsMinor: bigint, taxRules: readonly TaxRule[], changes: Partial<PeriodInputs> = {}): SettlementResult {
  return settle(inputs(period('2026-01-01', '2026-02-01', { taxRules, counts: [count('A', '2026-01-31', takingsMinor)], ...changes })));
}

function taxOf(result: SettlementResult): bigint {
  return result.taxes.reduce((sum, tax) => sum + tax.amountMinor, 0n);
}

// California Department of Tax and Fee Administration, Publication 118, "Sales Tax Factors" (cdtfa.ca.gov, undated): 100 / (1 + rate), in percent.
describe('[P] CDTFA Publication 118, factors for takings that contain the tax', () => {
  test.each([
    ['7.25', 932_401n],
    ['7.375', 931_315n],
    ['7.5', 930_233n],
    ['7.625', 929_152n],
    ['7.75', 928_074n],
    ['7.875', 926_999n],
    ['7.975', 926_140n],
    ['8', 925_926n],
    ['8.125', 924_855n],
    ['8.225', 924_001n],
    ['8.25', 923_788n],
    ['8.35', 922_935n],
    ['8.375', 922_722n],
    ['8.475', 921_871n],
    ['8.5', 921_659n],
    ['8.625', 920_598n],
    ['8.725', 919_752n],
    ['8.75', 919_540n],
    ['8.875', 918_485n],
    ['8.975', 917_642n],
    ['9', 917_431n],
    ['9.125', 916_380n],
    ['9.225', 915_541n],
    ['9.25', 915_332n],
    ['9.375', 914_286n],
    ['9.5', 913_242n],
    ['9.625', 912_201n],
    ['9.75', 911_162n],
    ['9.875', 910_125n],
    ['10', 909_091n],
    ['10.25', 907_029n],
    ['10.5', 904_977n],
    ['10.75', 902_935n],
  ])('at %s %% of 10,000.00 the taxable part is %d cents', (rate, taxableMinor) => {
    expect(insideTax({ baseMinor: 1_000_000n, rates: [toBillionths(decimal(rate))] }).taxableMinor).toBe(taxableMinor);
  });
});

// Washington Administrative Code 458-20-244, example of machines in two cities (lawfilesext.leg.wa.gov, undated).
test('[P] WAC 458-20-244: 2,500.00 at 10.1 % contain 229.34, 3,000.00 at 8.9 % contain 245.18, together 474.52', () => {
  const [seattle, spokane] = [month(250_000n, [insideRule(['10.1'])]), month(300_000n, [insideRule(['8.9'])])];
  expect([taxOf(seattle), taxOf(spokane), taxOf(seattle) + taxOf(spokane)]).toEqual([22_934n, 24_518n, 47_452n]);
});

// Virginia Tax Commissioner, rulings 82-103 (2 August 1982; 3 % state, 1 % local) and 87-199 (21 August 1987; 3.5 % and 1 %): gross / (1 + rate), times the rate.
test.each([
  ['82-103', ['3', '1'], 104_000n, [3000n, 1000n]],
  ['87-199', ['3.5', '1'], 104_500n, [3500n, 1000n]],
])('[R] Virginia ruling %s on machines', (_ruling, rates, grossMinor, components) => {
  expect(month(grossMinor, [insideRule(rates)]).taxes.map((tax) => tax.amountMinor)).toEqual(components);
});

// Inland Revenue (New Zealand), "Calculating GST" (ird.govt.nz, 16 August 2010): multiply by 3, divide by 23.
test('[P] Inland Revenue, New Zealand: 1,725.00 at 15 % contain 225.00', () => {
  expect(taxOf(month(172_500n, [insideRule(['15'])]))).toBe(22_500n);
});

// HMRC internal manual VRS8515 (gov.uk, undated) prints the fraction 1/6 for 20 %; VAT takings of one machine.
test.each([6n, 12_000n, 60_006n])('[R] HMRC VRS8515: at 20 %% a sixth of %d is tax', (grossMinor) => {
  expect(taxOf(month(grossMinor, [insideRule(['20'])]))).toBe(grossMinor / 6n);
});

// "Value added tax", worked example of an Irish school book (content.yudu.com/web/1yssw, p. 213, undated).
test('[P] 215.65 with 13.5 % in it are 190.00 and 25.65', () => {
  expect(insideTax({ baseMinor: 21_565n, rates: [toBillionths(decimal('13.5'))] })).toMatchObject({ taxableMinor: 19_000n, taxMinor: 2565n });
});

describe('Australian Taxation Office, "GST when conducting gambling activities" (ato.gov.au, 28 November 2017)', () => {
  test('[P] 86,000.00 taken, 20,000.00 given back in money: tax is a eleventh of 66,000.00, 6,000.00', () => {
    const result = month(8_600_000n, [insideRule(['10'])], { refundSlips: [slip('A', '2026-01-31', 2_000_000n)] });
    expect(taxOf(result)).toBe(600_000n);
  });

  test('[P] 44,000.00 taken, the prize a thing: 4,000.00', () => {
    expect(taxOf(month(4_400_000n, [insideRule(['10'])]))).toBe(400_000n);
  });

  // A New Tax System (Goods and Services Tax) Act 1999, s. 126-10 (2).
  test('[R] more given back than taken: no tax, and nothing carried', () => {
    const result = month(100_000n, [insideRule(['10'])], { refundSlips: [slip('A', '2026-01-31', 110_000n)] });
    expect(taxOf(result)).toBe(0n);
    expect(result.periods[0]?.carriesOut.negativeTaxes).toEqual([]);
  });
});

// Finance Act 2012 (UK), Sch. 24 para. 10 (legislation.gov.uk): amount X reduces the next period's duty, whether or not it came out of an earlier amount X.
test('[R] a negative duty is carried through several periods and never repaid', () => {
  const duty = takingsRule(['20'], { negative: 'carry' });
  const months = [
    { from: '2026-01-01', until: '2026-02-01', takings: 0n, back: 50_000n, tax: 0n, carried: -10_000n },
    { from: '2026-02-01', until: '2026-03-01', takings: 20_000n, back: 0n, tax: 0n, carried: -6000n },
    { from: '2026-03-01', until: '2026-04-01', takings: 0n, back: 5000n, tax: 0n, carried: -7000n },
    { from: '2026-04-01', until: '2026-05-01', takings: 60_000n, back: 0n, tax: 5000n, carried: undefined },
  ];
  let carries = inputs(period('2026-01-01', '2026-02-01')).carriesIn;
  for (const { from, until, takings, back, tax, carried } of months) {
    const result = settle(
      inputs(period(from, until, { taxRules: [duty], counts: [count('A', from, takings)], refundSlips: back === 0n ? [] : [slip('A', from, back)] }), { carriesIn: carries }),
    );
    carries = result.periods[0]?.carriesOut ?? carries;
    expect([taxOf(result), carries.negativeTaxes[0]?.amountMinor]).toEqual([tax, carried]);
  }
});

// Montana Code Annotated 2023, 23-5-610 (1) (leg.mt.gov): 15 % of gross income, documented thefts deducted. The opposite of HMRC VBANDG12500.
test('[R] where the law deducts what was stolen, it is in no base: 10,000.00 of which 1,000.00 were stolen: 1,350.00', () => {
  const stolen = { breakIns: [breakIn('A', '2026-01-31', 100_000n)] };
  expect(taxOf(month(900_000n, [takingsRule(['15'], { breakIns: 'not-in-base' })], stolen))).toBe(135_000n);
  expect(taxOf(month(900_000n, [takingsRule(['15'], { breakIns: 'in-base' })], stolen))).toBe(150_000n);
});

describe('German courts on the tax on takings of machines', () => {
  // Oberverwaltungsgericht NRW, 14 A 597/09, 23 June 2010, paras. 3 to 6. The printed pairs agree on 17.5 %; two of them end on half a cent.
  test.each([
    [53_380n, 9342n],
    [144_340n, 25_260n],
    [102_930n, 18_013n],
  ])('[P] OVG NRW 14 A 597/09: of %d cents, %d', (takings, tax) => {
    expect(taxOf(month(takings, [takingsRule(['17.5'])]))).toBe(tax);
  });

  // Verwaltungsgericht Düsseldorf, 25 K 1134/06, 15 May 2006: 453,585.30 x 13 % is printed as 58,966.08. The exact product is 58,966.089:
  // the form adds up machine by machine, or cuts off. We round the sum, once.
  test('[P] VG Düsseldorf 25 K 1134/06 prints a cent less than its own product', () => {
    expect(taxOf(month(45_358_530n, [takingsRule(['13'])]))).toBe(5_896_609n);
    expect((45_358_530n * 13n) / 100n).toBe(5_896_608n);
  });
});

describe('Nebraska Rev. Stat. 77-3004', () => {
  const yearly = { per: 'year', timing: { kind: 'when-due', month: 1, day: 1, onPlacement: true } } as const;
  const rows = [
    fixedRule(3500n, { ...yearly, id: 'until-2026', until: localDate('2027-01-01') }),
    fixedRule(7000n, { ...yearly, id: 'from-2027', from: localDate('2027-01-01') }),
  ];

  test.each([
    ['2026-01-01', '2026-02-01', 3500n],
    ['2027-01-01', '2027-02-01', 7000n],
  ])('[S] 35.00 in 2026, 70.00 from 1 January 2027: %s', (from, until, tax) => {
    expect(taxOf(settle(inputs(period(from, until, { taxRules: rows }))))).toBe(tax);
  });
});

// Texas Comptroller, coin-operated machines: 60.00 a machine [P]; licence 200 / 400 / 500 for up to 50 / 51 to 200 / more; totals [R].
test.each([
  [50, 20_000n, 320_000n],
  [51, 40_000n, 346_000n],
  [201, 50_000n, 1_256_000n],
])('[R] Texas: %d machines cost the operator tax and licence first', (number, licenceMinor, total) => {
  const machines = Array.from({ length: number }, (_each, index) => machine(`T${index}`));
  const decal = fixedRule(6000n, { per: 'year', timing: { kind: 'when-due', month: 1, day: 1, onPlacement: false } });
  const licence = charge({ id: 'licence', title: 'Licence', amount: { kind: 'amount', per: 'period', amountMinor: licenceMinor } });
  const result = month(0n, [decal], {
    machines,
    versions: [version('2020-01-01', { charges: [licence] })],
    counts: [count('T0', '2026-01-31', 5_000_000n)],
  });
  expect(taxOf(result) + result.totals.chargesMinor).toBe(total);
  expect(result.totals.sharesMinor).toBe(5_000_000n - total);
});

// Arizona R15-5-403 (2), Wisconsin Tax 11.52, 61 Pa. Code 47.1, WAC 458-20-187 [P] rule: the payer is who controls the cash.
test('[R] where the site controls the cash and files, the tax is owed to it and costs both alike', () => {
  const filing = (filedBy: 'operator' | 'site') => month(100_000n, [takingsRule(['5.6'], { filedBy })]);
  expect(payableTo(filing('operator'), site).amountMinor).toBe(47_200n);
  expect(payableTo(filing('site'), site)).toMatchObject({ amountMinor: 52_800n, taxFiledMinor: 5600n, sharesMinor: 47_200n });
});

// The same rules [P]: a division of proceeds is no rental, a rent is.
test('[R] a rent is a charge before the split, a division of proceeds is none', () => {
  const rent = charge({ id: 'rent', title: 'Rent', to: site, amount: { kind: 'amount', per: 'period', amountMinor: 10_000n } });
  const rented = month(100_000n, [], { versions: [version('2020-01-01', { arrangement: 'space-lease', charges: [rent] })] });
  expect(Object.values(linesOf(rented, 'charge'))).toEqual([10_000n]);
  expect(rented.parties.find(({ party }) => party === operator)?.sharesMinor).toBe(45_000n);
  expect(linesOf(month(100_000n, []), 'charge')).toEqual({});
});
