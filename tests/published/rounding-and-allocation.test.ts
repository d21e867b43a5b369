/**
 * Rounding, allocation, currencies and cash against published figures. [P]: inputs and outputs are printed in the source.
 * [R]: the rule is printed, the output is arithmetic on it. [M]: from memory, not verified. Dates are those of the stored copies.
 */
import { allocate } from '#domain/money/allocation';
import { currencyDigits } from '#domain/money/currency';
import { divideHalfUp } from '#domain/money/rounding';
import { settle } from '#domain/settlement/settle';
import { count, inputs, operator, period, shares, site, takingsRule, version } from '#tests/support/settlement-inputs';

// Streamlined Sales and Use Tax Agreement s. 324 (R.I. Gen. Laws 44-18.1-25): the third decimal over 4 rounds up.
test.each([
  ['0.004', 4n, 0n],
  ['0.005', 5n, 1n],
  ['2.345', 2345n, 235n],
])('[P] s. 324: %s', (_text, thousandths, cents) => {
  expect(divideHalfUp({ dividend: thousandths, divisor: 10n })).toBe(cents);
});

describe('largest remainder (Hamilton, Hare-Niemeyer)', () => {
  test('[P] 50, 30, 20 over 7 units: 4, 2, 1', () => {
    expect(allocate({ amountMinor: 7n, weights: [50n, 30n, 20n] })).toEqual([4n, 2n, 1n]);
  });

  // "For All Practical Purposes", 10th ed., ch. 14, example 6 (macmillanusa.com, undated): the bill that President Washington vetoed, 120 seats.
  // Populations of 1790 as in "Mathematical Excursions", ch. 4.1, problem 2 (bartleby.com, undated); the latter's Rhode Island is misprinted, 68,446 fits both totals.
  test('[P] the census of 1790 over 120 seats', () => {
    const states: [state: string, population: bigint, seats: bigint][] = [
      ['New Jersey', 179_570n, 6n],
      ['Virginia', 630_560n, 21n],
      ['Connecticut', 236_841n, 8n],
      ['South Carolina', 206_236n, 7n],
      ['Delaware', 55_540n, 2n],
      ['Vermont', 85_533n, 3n],
      ['Massachusetts', 475_327n, 16n],
      ['North Carolina', 353_523n, 12n],
      ['New Hampshire', 141_822n, 5n],
      ['Pennsylvania', 432_879n, 14n],
      ['Georgia', 70_835n, 2n],
      ['Kentucky', 68_705n, 2n],
      ['Rhode Island', 68_446n, 2n],
      ['Maryland', 278_514n, 9n],
      ['New York', 331_591n, 11n],
    ];
    const parts = allocate({ amountMinor: 120n, weights: states.map(([, population]) => population) });
    expect(parts).toEqual(states.map(([, , seats]) => seats));
  });

  // Electowiki, "Alabama paradox" (26 March 2005). The third party loses a seat of a larger house.
  test.each([
    [323n, [183n, 124n, 14n, 2n]],
    [324n, [184n, 125n, 13n, 2n]],
  ])('[P] Alabama paradox: %d seats by 56.7, 38.5, 4.2, 0.6', (seats, parts) => {
    expect(allocate({ amountMinor: seats, weights: [567n, 385n, 42n, 6n] })).toEqual(parts);
  });

  // The best-known small case of the paradox, 6, 6, 2 over 10 and 11 seats [M].
  test('[M] from three parties up, one unit more can cost a party one', () => {
    expect(allocate({ amountMinor: 10n, weights: [6n, 6n, 2n] })).toEqual([4n, 4n, 2n]);
    expect(allocate({ amountMinor: 11n, weights: [6n, 6n, 2n] })).toEqual([5n, 5n, 1n]);
  });
});

// Mozilla, js/src/builtin/intl/CurrencyDataGenerated.js (searchfox.org, 4 February 2025), generated from the list of ISO 4217's maintenance agency:
// every code in use whose exponent is not 2, without CLF, UYI and UYW, in which nobody is paid.
test.each([
  ...(['BIF', 'CLP', 'DJF', 'GNF', 'ISK', 'JPY', 'KMF', 'KRW', 'PYG', 'RWF', 'UGX', 'VND', 'VUV', 'XAF', 'XOF', 'XPF'] as const).map((code) => [code, 0] as const),
  ...(['BHD', 'IQD', 'JOD', 'KWD', 'LYD', 'OMR', 'TND'] as const).map((code) => [code, 3] as const),
  ...(['USD', 'EUR', 'GBP', 'CAD', 'AUD', 'INR'] as const).map((code) => [code, 2] as const),
])('[P] ISO 4217: %s has %d digits', (code, digits) => {
  expect(currencyDigits(code)).toBe(digits);
});

/** All of the takings go to the site, in cash, to the smallest coin. */
function paidInCash(takingsMinor: bigint, smallestCoinMinor: bigint, taxPercent?: string) {
  const terms = {
    split: { kind: 'shares' as const, shares: shares([operator, '0'], [site, '100']) },
    payout: { smallestMinor: 0n, negative: 'carry' as const, smallestCoinMinor },
    tax: { filedBy: 'site' as const, borneBy: 'operator' as const },
  };
  const result = settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        versions: [version('2020-01-01', terms)],
        taxRules: taxPercent === undefined ? [] : [takingsRule([taxPercent])],
        counts: [count('A', '2026-01-31', takingsMinor)],
      }),
    ),
  );
  const [payable] = result.payables;
  return { taxMinor: payable?.taxFiledMinor, dueMinor: payable?.amountMinor, paidMinor: payable?.cashPayment?.payMinor };
}

describe('cash is rounded after tax, to the smallest coin', () => {
  // Canada Revenue Agency, GST/HST Info Sheet GI-131, "Phasing Out of the Penny" (December 2012), example 7, as ryan.com of 20 December 2012 prints it.
  test('[P] GI-131: 179.00 and 13 % tax: 23.27, 202.27, in cash 202.25', () => {
    expect(paidInCash(17_900n, 5n, '13')).toEqual({ taxMinor: 2327n, dueMinor: 20_227n, paidMinor: 20_225n });
  });

  // CTV News British Columbia, on the Canada Revenue Agency's rules (bc.ctvnews.ca/1.1196226, undated).
  test('[P] 689.93 and 12 % tax: 82.79, 772.72, in cash 772.70', () => {
    expect(paidInCash(68_993n, 5n, '12')).toEqual({ taxMinor: 8279n, dueMinor: 77_272n, paidMinor: 77_270n });
  });

  test.each([
    // Office de la protection du consommateur, Québec, "Phasing out the penny" (opc.gouv.qc.ca, 3 May 2021).
    ['Québec', 598n, 5n, 600n],
    ['Québec', 597n, 5n, 595n],
    // Wikipedia, "Swedish rounding": receipts of the years of the 50 öre coin, and the Australian examples.
    ['Sweden, 50 öre', 22_320n, 50n, 22_300n],
    ['Sweden, 50 öre', 6540n, 50n, 6550n],
    ['Australia', 2042n, 5n, 2040n],
    ['Australia', 2043n, 5n, 2045n],
    // polignosis.pl, "Zasady zaokrąglania liczb", to whole zloty (undated).
    ['Poland', 2334n, 100n, 2300n],
    ['Poland', 2350n, 100n, 2400n],
  ])('[P] %s: %d in coins of %d are paid as %d', (_place, dueMinor, coinMinor, paidMinor) => {
    expect(paidInCash(dueMinor, coinMinor).paidMinor).toBe(paidMinor);
  });

  // New Zealand Retailers Association, 10 cent coin (grownups.co.nz, undated): 1 to 5 cents down, 6 to 9 up. It recommends to give the tie to
  // the customer; we round half up everywhere, as Canada and Sweden do, so that an ending of 5 is the one on which we differ.
  test.each([1n, 2n, 3n, 4n, 5n, 6n, 7n, 8n, 9n])('[P] New Zealand, ending %d', (ending) => {
    const recommended = ending <= 5n ? 100n : 110n;
    expect(paidInCash(100n + ending, 10n).paidMinor).toBe(ending === 5n ? recommended + 10n : recommended);
  });
});
