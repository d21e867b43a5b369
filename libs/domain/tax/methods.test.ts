import fc from 'fast-check';
import { localDate, toDayNumber } from '#domain/calendar/local-date';
import { decimal, toBillionths } from '#domain/money/decimal';
import { dueDays, fixedTaxWhenDue, placementDays } from '#domain/tax/fixed';
import { insideTax } from '#domain/tax/inside';
import { keepAboveZero } from '#domain/tax/negative';
import { onTakingsTax } from '#domain/tax/on-takings';
import { fixedRule } from '#tests/support/settlement-inputs';

const rates = (...list: string[]) => list.map((rate) => toBillionths(decimal(rate)));
const rateList = fc.array(fc.bigInt({ min: 0n, max: 20_000_000_000n }), { minLength: 1, maxLength: 4 });

describe('inside', () => {
  test('a negative base gives the mirror image', () => {
    expect(insideTax({ baseMinor: -10_000n, rates: rates('4', '0.5') })).toMatchObject({
      taxableMinor: -9569n,
      taxMinor: -431n,
      componentsMinor: [-383n, -48n],
    });
  });

  test('a later component gets at most what is left', () => {
    // 7 cents at 15 % and 15 %: taxable 5, tax 2; the second component is 1 (0.75), the first takes 1.
    expect(insideTax({ baseMinor: 7n, rates: rates('15', '15') }).componentsMinor).toEqual([1n, 1n]);
    // Tax 1: the second takes it (0.8 rounded), nothing is left for the third.
    expect(insideTax({ baseMinor: 5n, rates: rates('5', '14', '13') })).toMatchObject({ taxMinor: 1n, componentsMinor: [0n, 1n, 0n] });
    expect(insideTax({ baseMinor: -5n, rates: rates('5', '14', '13') })).toMatchObject({ taxMinor: -1n, componentsMinor: [0n, -1n, 0n] });
  });

  test('taxable and components sum to the base', () => {
    fc.assert(
      fc.property(fc.bigInt({ min: -(10n ** 12n), max: 10n ** 12n }), rateList, (baseMinor, list) => {
        const { taxableMinor, taxMinor, componentsMinor } = insideTax({ baseMinor, rates: list });
        expect(taxableMinor + taxMinor).toBe(baseMinor);
        expect(componentsMinor.reduce((sum, part) => sum + part, 0n)).toBe(taxMinor);
        for (const part of componentsMinor) expect(baseMinor < 0n ? part <= 0n : part >= 0n).toBe(true);
      }),
    );
  });
});

describe('on takings', () => {
  test('each component may have a base of its own, also below zero', () => {
    const bases = [
      { baseMinor: 1000n, rate: rates('5')[0] ?? 0n },
      { baseMinor: -300n, rate: rates('20')[0] ?? 0n },
    ];
    expect(onTakingsTax({ bases, rounding: 'apart' })).toEqual([50n, -60n]);
    expect(onTakingsTax({ bases, rounding: 'together' })).toEqual([50n, -60n]);
  });

  test('together never differs from the exact sum by more than half a unit', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.bigInt({ min: 0n, max: 10n ** 9n }), fc.bigInt({ min: 0n, max: 20_000_000_000n })), { minLength: 1, maxLength: 4 }),
        (list) => {
          const bases = list.map(([baseMinor, rate]) => ({ baseMinor, rate }));
          const exact = bases.reduce((sum, { baseMinor, rate }) => sum + baseMinor * rate, 0n);
          const away = onTakingsTax({ bases, rounding: 'together' }).reduce((sum, part) => sum + part, 0n) * 100_000_000_000n - exact;
          expect(away <= 50_000_000_000n && away > -50_000_000_000n).toBe(true);
        },
      ),
    );
  });
});

describe('a tax that comes out negative', () => {
  test.each([
    ['zero', 0n, [-50n, 20n], [0n, 0n], 0n, 'not-below-zero'],
    ['carry', 0n, [-50n, 20n], [0n, 0n], -30n, 'not-below-zero'],
    ['carry', -10n, [-50n, 20n], [0n, 0n], -40n, 'not-below-zero'],
    ['carry', -15n, [40n, 20n], [30n, 15n], 0n, 'set-against-carried'],
    ['carry', -60n, [40n, 20n], [0n, 0n], 0n, 'set-against-carried'],
    ['carry', -61n, [40n, 20n], [0n, 0n], -1n, 'not-below-zero'],
    ['carry', 0n, [40n, 20n], [40n, 20n], 0n, 'none'],
    // Under a row that does not carry, an older carry waits.
    ['zero', -15n, [40n, 20n], [40n, 20n], -15n, 'none'],
    ['carry', -5n, [-10n, 45n], [0n, 30n], 0n, 'set-against-carried'],
  ] as const)('%s, carried %d, components %p', (negative, carriedMinor, componentsMinor, components, carried, effect) => {
    expect(keepAboveZero({ componentsMinor, carriedMinor, negative })).toEqual({ componentsMinor: components, carriedMinor: carried, effect });
  });
});

describe('fixed, when due', () => {
  const day = (text: string) => toDayNumber(localDate(text));
  const within = (from: string, until: string) => ({ from: day(from), until: day(until) });
  const due = (month: number, dayOfMonth: number, onPlacement = false) => ({ kind: 'when-due', month, day: dayOfMonth, onPlacement }) as const;
  const always = [{ from: day('2000-01-01'), until: Number.MAX_SAFE_INTEGER }];

  function dueOn(per: 'month' | 'year', timing: ReturnType<typeof due>, from: string, until: string, placements = always) {
    return dueDays({ rule: fixedRule(100n, { per }), timing, within: within(from, until), placements }).map((each) => [each.day, each.onPlacement]);
  }

  test('of the year: once, on its day', () => {
    expect(dueOn('year', due(7, 1), '2026-07-01', '2026-08-01')).toEqual([[day('2026-07-01'), false]]);
    expect(dueOn('year', due(7, 1), '2026-08-01', '2026-09-01')).toEqual([]);
    expect(dueOn('year', due(7, 1), '2026-06-01', '2026-07-01')).toEqual([]);
    expect(dueOn('year', due(1, 1), '2025-12-15', '2027-01-02')).toEqual([
      [day('2026-01-01'), false],
      [day('2027-01-01'), false],
    ]);
  });

  test('of the month: on its day, or the last day of a shorter month', () => {
    expect(dueOn('month', due(1, 31), '2026-01-31', '2026-04-01')).toEqual(
      ['2026-01-31', '2026-02-28', '2026-03-31'].map((text) => [day(text), false]),
    );
    expect(dueOn('month', due(1, 15), '2026-11-20', '2027-01-20')).toEqual(['2026-12-15', '2027-01-15'].map((text) => [day(text), false]));
  });

  test('only for a machine that is in place on the day', () => {
    const placed = placementDays([{ from: localDate('2026-07-01'), until: localDate('2026-07-02') }]);
    expect(dueOn('year', due(7, 1), '2026-07-01', '2026-08-01', placed)).toHaveLength(1);
    expect(dueOn('year', due(7, 2), '2026-07-01', '2026-08-01', placed)).toHaveLength(0);
  });

  test('on placement as well, once, and not twice on one day', () => {
    const placed = placementDays([
      { from: localDate('2026-07-20'), until: null },
      { from: localDate('2026-07-10'), until: localDate('2026-07-12') },
    ]);
    expect(dueOn('year', due(1, 1, true), '2026-07-01', '2026-08-01', placed)).toEqual([[day('2026-07-10'), true]]);
    expect(dueOn('year', due(7, 10, true), '2026-07-01', '2026-08-01', placed)).toEqual([[day('2026-07-10'), false]]);
    expect(dueOn('year', due(1, 1, true), '2026-08-01', '2026-09-01', placed)).toEqual([]);
    expect(dueOn('year', due(1, 1, true), '2026-06-01', '2026-07-10', placed)).toEqual([]);
  });

  test('a machine that comes before the due date of its year or month owes on that date alone', () => {
    const placed = [{ from: day('2028-01-10'), until: Number.MAX_SAFE_INTEGER }];
    expect(dueOn('year', due(4, 30, true), '2028-01-01', '2028-06-01', placed)).toEqual([[day('2028-04-30'), false]]);
    expect(dueOn('month', due(1, 15, true), '2028-01-01', '2028-02-01', placed)).toEqual([[day('2028-01-15'), false]]);
    expect(dueOn('month', due(1, 5, true), '2028-01-01', '2028-02-06', placed)).toEqual([
      [day('2028-02-05'), false],
      [day('2028-01-10'), true],
    ]);
  });

  test('a later placement may owe another amount', () => {
    const component = { id: 'c', title: 'C', amountMinor: 3500n, placedLater: { month: 7, day: 2, amountMinor: 2000n } };
    const asked = (text: string, onPlacement: boolean) => fixedTaxWhenDue(component, { day: day(text), onPlacement });
    expect([
      asked('2026-07-01', true),
      asked('2026-07-02', true),
      asked('2026-12-31', true),
      asked('2026-06-30', true),
      asked('2026-08-01', true),
    ]).toEqual([3500n, 2000n, 2000n, 3500n, 2000n]);
    expect(asked('2026-12-31', false)).toBe(3500n);
    expect(fixedTaxWhenDue({ ...component, placedLater: null }, { day: day('2026-12-31'), onPlacement: true })).toBe(3500n);
  });
});
