/**
 * Shares, bands, guarantees, advances, parts of a month and carried losses against published examples of contracts. [P]:
 * inputs and outputs are printed in the source. [R]: the rule is printed, the output is arithmetic on it. Dates are those of
 * the stored copies. Thresholds and percentages are the sources'; who is landlord there is the site here.
 */
import { localDate, toDayNumber } from '#domain/calendar/local-date';
import { amountForDays } from '#domain/calendar/proration';
import { decimal } from '#domain/money/decimal';
import { roundHalfUp } from '#domain/money/rounding';
import { settle } from '#domain/settlement/settle';
import type { SettlementInputs, SettlementResult } from '#domain/settlement/types';
import type { Band, BandsSplit, Guarantee, Terms } from '#domain/terms/types';
import { count, inputs, operator, period, shares, site, slip, takingsRule, version } from '#tests/support/settlement-inputs';
import { carriesOf, linesOf, payableTo, sharesOf } from '#tests/support/settlement-lines';

function year(takingsMinor: bigint, terms: Partial<Terms>, changes: Partial<SettlementInputs> = {}): SettlementResult {
  return settle(
    inputs(
      period('2026-01-01', '2027-01-01', { versions: [version('2020-01-01', terms)], counts: [count('A', '2026-12-31', takingsMinor)] }),
      changes,
    ),
  );
}

const toSite = (percent: string) => shares([operator, (100 - Number(percent)).toString()], [site, percent]);

/** Slices from each threshold on, with the site's percentage in each. */
function slices(...bands: [fromMinor: bigint, sitePercent: string][]): Partial<Terms> {
  const split: BandsSplit = {
    kind: 'bands',
    method: 'marginal',
    scope: 'agreement',
    per: 'period',
    bands: bands.map(([fromMinor, percent], index): Band => ({ fromMinor, toMinor: bands[index + 1]?.[0] ?? null, shares: toSite(percent) })),
  };
  return { split };
}

function atLeast(amountMinor: bigint): Guarantee[] {
  return [{ id: 'base', kind: 'at-least', party: site, amountMinor, per: 'period', scope: 'agreement', from: 'operator' }];
}

describe('percentage rent', () => {
  // support.assessre.com, "Percentage rent" (undated).
  test('[P] 7 % above 300,000.00 of 400,000.00: 7,000.00', () => {
    expect(sharesOf(year(40_000_000n, slices([0n, '0'], [30_000_000n, '7'])))[site]).toBe(700_000n);
  });

  // realized1031.com, glossary, "Percentage rent" (undated): base rent 50,000.00, 4 %, sales 1,100,000.00.
  test('[P] 4 % above 1,000,000.00 of 1,100,000.00: 4,000.00', () => {
    expect(sharesOf(year(110_000_000n, slices([0n, '0'], [100_000_000n, '4'])))[site]).toBe(400_000n);
  });

  test('[P] below the natural breakpoint of 1,250,000.00 only the base rent of 50,000.00 is due', () => {
    const lease = { split: { kind: 'shares', shares: toSite('4') }, guarantees: atLeast(5_000_000n) } as const;
    expect(sharesOf(year(110_000_000n, lease))[site]).toBe(5_000_000n);
    expect(Object.values(linesOf(year(125_000_000n, lease), 'guarantee'))).toEqual([]);
    expect(sharesOf(year(125_000_000n, lease))[site]).toBe(5_000_000n);
  });

  // Capital Retail, "Percentage Rent and Natural Breakpoints" (16 January 2018): rent 60,000.00, sales 1,200,500.00, 5 %.
  test('[P] above 1,000,000.00: 10,025.00; above the natural breakpoint: 25.00', () => {
    expect(sharesOf(year(120_050_000n, slices([0n, '0'], [100_000_000n, '5'])))[site]).toBe(1_002_500n);
    const natural = year(120_050_000n, { split: { kind: 'shares', shares: toSite('5') }, guarantees: atLeast(6_000_000n) });
    expect((sharesOf(natural)[site] ?? 0n) - 6_000_000n).toBe(2500n);
  });
});

// Martha's Vineyard Airport, request for proposals, concession (lawinsider.com, "Concession agreement compensation", for 2020 to 2025): 36,500.00 a
// year at least, and 3 % from 300,000.00 to 500,000.00, 5 % above. The source begins its last band at 500,000.01 and cuts off: 2,499.99
// and 8,499.99 for 550,000.00. A band that begins where the one before it ends gives 2,500.00; no cent of sales is without a band.
test.each([
  [29_800_000n, 0n],
  [40_000_000n, 300_000n],
  [55_000_000n, 850_000n],
])('[P] concession fee above the guarantee: of %d cents, %d', (sales, fee) => {
  expect(sharesOf(year(sales, slices([0n, '0'], [30_000_000n, '3'], [50_000_000n, '5'])))[site]).toBe(fee);
});

// Nevada Revised Statutes 463.370 (1) (nevada.public.law, 2023): 3.5 % up to 50,000.00 of a month's revenue, 4.5 % to 134,000.00, 6.75 % above.
test.each([
  [5_000_000n, 175_000n],
  [13_400_000n, 553_000n],
  [20_000_000n, 998_500n],
])('[R] NRS 463.370: of %d cents, %d', (revenue, fee) => {
  expect(sharesOf(year(revenue, slices([0n, '3.5'], [5_000_000n, '4.5'], [13_400_000n, '6.75'])))[site]).toBe(fee);
});

// Indiana, Senate Bill 384 of 2014, digest (votenuity, undated): a tax of 30 % of net terminal income; the rest divided equally between operator and tavern.
test('[R] Indiana SB 384: 10,000.00 are 3,000.00 tax and 3,500.00 each', () => {
  const result = settle(inputs(period('2026-01-01', '2026-02-01', { taxRules: [takingsRule(['30'])], counts: [count('A', '2026-01-31', 1_000_000n)] })));
  expect(result.totals.taxBeforeSplitMinor).toBe(300_000n);
  expect(sharesOf(result)).toEqual({ [operator]: 350_000n, [site]: 350_000n });
});

describe('advances', () => {
  const all: Partial<Terms> = { advances: { kind: 'percentage', percent: decimal('100') } };

  // Novelist's account of an advance (sleigh.dreamwidth.org/216355, undated): 5,000.00 at 8 % of 8.00 a copy.
  test.each([
    [10_000n, 500_000n, 140_000n],
    [7813n, 500_000n, 32n],
    [7812n, 499_968n, 0n],
  ])('[P] after %d copies %d are earned back and %d paid', (copies, repaid, paid) => {
    const result = year(copies * 800n, { ...all, split: { kind: 'shares', shares: toSite('8') } }, { advances: [{ id: 'a', party: site, openMinor: 500_000n }] });
    expect(payableTo(result, site)).toMatchObject({ advancesRepaidMinor: repaid, amountMinor: paid });
  });
});

describe('parts of a month', () => {
  const days = (from: string, until: string) => [{ from: toDayNumber(localDate(from)), until: toDayNumber(localDate(until)) }];
  const part = (amountMinor: bigint, from: string, until: string) => roundHalfUp(amountForDays({ amountMinor, per: 'month' }, days(from, until)));

  test.each([
    // rentlatefee.com, "Prorated Rent Calculator Comparison" (undated): 1,800.00 for 15 days of months of every length, and from 15 March.
    [180_000n, '2026-02-01', '2026-02-16', 96_429n],
    [180_000n, '2028-02-01', '2028-02-16', 93_103n],
    [180_000n, '2026-04-01', '2026-04-16', 90_000n],
    [180_000n, '2026-01-01', '2026-01-16', 87_097n],
    [180_000n, '2026-03-15', '2026-04-01', 98_710n],
    // cunits.io, "Prorated Rent Calculator" (undated).
    [150_000n, '2026-01-15', '2026-02-01', 82_258n],
    [120_000n, '2026-04-01', '2026-04-11', 40_000n],
    [180_000n, '2026-02-14', '2026-03-01', 96_429n],
    // sapling.com, "How to calculate prorated rent" (undated): 21 days of January (the source counts from the 10th and leaves a day out).
    [120_000n, '2026-01-11', '2026-02-01', 81_290n],
  ])('[P] %d cents a month from %s until %s: %d', (amountMinor, from, until, expected) => {
    expect(part(amountMinor, from, until)).toBe(expected);
  });

  // rentlatefee.com, "Prorated Rent: Complete Guide" (2025) rounds the rate of a day first: 64.29 x 14 = 900.06 for half of February. We round once, at the end.
  test('[P] a day rate that is rounded first is six cents away', () => {
    expect(part(180_000n, '2026-02-15', '2026-03-01')).toBe(90_000n);
    expect(roundHalfUp(amountForDays({ amountMinor: 180_000n, per: 'month' }, days('2026-02-15', '2026-02-16'))) * 14n).toBe(90_006n);
  });
});

// 26 CFR 1.172-6 (cfr.laws-info.com, undated), loss of 75,000 against income of 15,000, 30,000 and 20,000: what is left is 60,000, 30,000, 10,000.
// (There the loss also goes back in time; the order in which it is used up is the same.)
test('[P] a carried loss is used up by what comes, and nothing is shared before', () => {
  const incomes = [
    { from: '2026-01-01', until: '2026-02-01', takings: 0n, back: 7_500_000n, left: -7_500_000n },
    { from: '2026-02-01', until: '2026-03-01', takings: 1_500_000n, back: 0n, left: -6_000_000n },
    { from: '2026-03-01', until: '2026-04-01', takings: 3_000_000n, back: 0n, left: -3_000_000n },
    { from: '2026-04-01', until: '2026-05-01', takings: 2_000_000n, back: 0n, left: -1_000_000n },
  ];
  let carriesIn = inputs(period('2026-01-01', '2026-02-01')).carriesIn;
  for (const { from, until, takings, back, left } of incomes) {
    const refundSlips = back === 0n ? [] : [slip('A', from, back, { paidBy: operator })];
    const result = settle(inputs(period(from, until, { counts: [count('A', from, takings)], refundSlips }), { carriesIn }));
    carriesIn = carriesOf(result);
    expect(carriesIn.losses.map((loss) => loss.amountMinor)).toEqual([left]);
    expect(result.totals.sharesMinor).toBe(0n);
  }
});
