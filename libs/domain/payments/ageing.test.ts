import fc from 'fast-check';
import { addDays, localDate } from '#domain/calendar/local-date';
import { ageBuckets, ageDays, ageing } from '#domain/payments/ageing';

const on = localDate('2026-05-31');
const due = (days: number) => addDays(on, -days);

it.each([
  [0, 0], [30, 0], [31, 1], [60, 1], [61, 2], [90, 2], [91, 3], [4000, 3], [-5, 0],
])('puts what fell due %i days ago into bucket %i', (days, place) => {
  expect(ageDays(due(days), on)).toBe(days);
  const aged = ageing([{ dueOn: due(days), openMinor: 700n }], on);
  expect(aged.map(({ toPayeeMinor }) => toPayeeMinor)).toEqual(ageBuckets.map((_, index) => (index === place ? 700n : 0n)));
});

it('keeps the two sides apart', () => {
  const [young] = ageing([{ dueOn: due(3), openMinor: 500n }, { dueOn: due(4), openMinor: -200n }, { dueOn: due(5), openMinor: -1n }], on);
  expect(young).toMatchObject({ toPayeeMinor: 500n, fromPayeeMinor: -201n });
});

it('sums to the items, whatever their age', () => {
  const item = fc.record({ dueOn: fc.integer({ min: -10, max: 500 }).map(due), openMinor: fc.bigInt({ min: -10_000n, max: 10_000n }) });
  fc.assert(
    fc.property(fc.array(item), (items) => {
      const total = ageing(items, on).reduce((sum, each) => sum + each.toPayeeMinor + each.fromPayeeMinor, 0n);
      expect(total).toBe(items.reduce((sum, { openMinor }) => sum + openMinor, 0n));
    }),
  );
});
