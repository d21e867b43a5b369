/**
 * Charges, splits and payments against published rules. [P]: printed in the source. [R]: the rule is printed, the
 * output is arithmetic on it. [S]: read in a secondary source.
 */
import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { settle } from '#domain/settlement/settle';
import { checkTerms } from '#domain/terms/check-terms';
import type { LawLimit } from '#domain/tax/types';
import type { Guarantee, Terms } from '#domain/terms/types';
import { charge, count, inputs, operator, period, shares, site, takingsRule, terms, version } from '#tests/support/settlement-inputs';

function month(takingsMinor: bigint, changes: Partial<Terms>, limits: readonly LawLimit[] = [], days = 7) {
  return settle(
    inputs(
      period('2026-01-01', '2026-02-01', {
        versions: [version('2020-01-01', changes)],
        limits,
        counts: [count('A', '2026-01-29', takingsMinor, { days })],
      }),
    ),
  );
}

function received(result: ReturnType<typeof month>, party: string): bigint {
  const own = result.parties.find((candidate) => candidate.party === party);
  return (own?.sharesMinor ?? 0n) + (own?.chargesMinor ?? 0n);
}

describe('[R] Texas Occupations Code 2153.205: the machine tax is reimbursed first, the site gets at most half of the rest', () => {
  const limit: LawLimit = {
    id: 'tx',
    areaId: 'texas',
    kind: 'highest-site-share',
    percent: decimal('50'),
    source: 'Texas Occupations Code 2153.205',
    from: localDate('2000-01-01'),
    until: null,
  };
  const reimbursed = [charge({ id: 'machine-tax', title: 'Machine tax', amount: { kind: 'amount', per: 'period', amountMinor: 6000n } })];

  test('gross 460.00, reimbursement 60.00: site 200.00, owner 260.00', () => {
    const result = month(46_000n, { charges: reimbursed }, [limit]);
    expect(received(result, site)).toBe(20_000n);
    expect(received(result, operator)).toBe(26_000n);
    expect(result.breaches).toEqual([]);
  });

  test('a site share of 55 % is refused', () => {
    const split: Terms['split'] = { kind: 'shares', shares: shares([operator, '45'], [site, '55']) };
    expect(checkTerms(terms({ split }), { currency: 'USD', limits: [limit] }).map(({ code }) => code)).toEqual(['law-highest-site-share']);
  });

  test('a guarantee that lifts the site above half is seen in the settlement', () => {
    const guarantees: Guarantee[] = [
      { id: 'g', kind: 'at-least', party: site, amountMinor: 20_001n, per: 'period', scope: 'agreement', from: 'operator' },
    ];
    const [breach] = month(46_000n, { charges: reimbursed, guarantees }, [limit]).breaches;
    expect(breach).toMatchObject({ limitId: 'tx', source: 'Texas Occupations Code 2153.205', allowedMinor: 20_000n, actualMinor: 20_001n });
  });

  test('a charge to the site counts as its share', () => {
    const toSite = charge({ id: 'power', title: 'Electricity', to: site, amount: { kind: 'amount', per: 'period', amountMinor: 1000n } });
    expect(month(46_000n, { charges: [...reimbursed, toSite] }, [limit]).breaches).toHaveLength(1);
  });
});

// Terms reported in a note on C.I.C. Corp. v. Flappy's (N.J. App. Div. 1999) [S]; outputs [R].
test.each([
  [17_500n, 7, 12_500n, 5000n],
  [6000n, 7, 6000n, 0n],
  [50_000n, 28, 40_000n, 10_000n],
])('first 75.00 a week to the operator, rest equal: %d in %d days gives %d and %d', (takings, days, toOperator, toSite) => {
  const result = month(takings, { charges: [charge()] }, [], days);
  expect([received(result, operator), received(result, site)]).toEqual([toOperator, toSite]);
});

test.each([
  ['100', 1_000_000n],
  ['50', 500_000n],
  ['30', 300_000n],
])('[R] 34 CFR 395.32: of 10,000.00 a share of %s %%', (percent, toSite) => {
  const rest = (100 - Number(percent)).toString();
  expect(received(month(1_000_000n, { split: { kind: 'shares', shares: shares([operator, rest], [site, percent]) } }), site)).toBe(toSite);
});

describe('[P] Canada Budget 2012, cash rounding to five cents', () => {
  const inCoins: Partial<Terms> = {
    split: { kind: 'shares', shares: shares([operator, '0'], [site, '100']) },
    payout: { smallestMinor: 0n, negative: 'carry', smallestCoinMinor: 5n },
  };

  test('1.83 + 2.86 plus 5 % make 4.92: card 4.92, cash 4.90', () => {
    const plusTax = settle(
      inputs(
        period('2026-01-01', '2026-02-01', {
          versions: [version('2020-01-01', { ...inCoins, tax: { filedBy: 'site', borneBy: 'operator' } })],
          taxRules: [takingsRule(['5'])],
          counts: [count('A', '2026-01-15', 183n), count('A', '2026-01-29', 286n)],
        }),
      ),
    );
    expect(plusTax.payables[0]).toMatchObject({ amountMinor: 492n, cashPayment: { payMinor: 490n, roundingMinor: -2n } });
  });

  test.each([
    [1n, 0n],
    [2n, 0n],
    [3n, 5n],
    [4n, 5n],
    [5n, 5n],
    [6n, 5n],
    [7n, 5n],
    [8n, 10n],
    [9n, 10n],
    [10n, 10n],
  ])('an ending of %d is paid as %d', (ending, paid) => {
    expect(month(100n + ending, inCoins).payables[0]?.cashPayment?.payMinor).toBe(100n + paid);
  });
});
