import fc from 'fast-check';
import { numberOfDays, subtractDays, unionOfDays, type Days } from '#domain/calendar/day-ranges';

test('ranges that overlap or touch become one, empty ones vanish', () => {
  expect(
    unionOfDays([
      { from: 8, until: 10 },
      { from: 1, until: 3 },
      { from: 3, until: 5 },
      { from: 7, until: 7 },
    ]),
  ).toEqual([
    { from: 1, until: 5 },
    { from: 8, until: 10 },
  ]);
  expect(
    unionOfDays([
      { from: 1, until: 9 },
      { from: 2, until: 3 },
    ]),
  ).toEqual([{ from: 1, until: 9 }]);
});

test('taking days away cuts ranges', () => {
  expect(
    subtractDays({
      minuend: [{ from: 1, until: 10 }],
      subtrahend: [
        { from: 3, until: 5 },
        { from: 9, until: 20 },
      ],
    }),
  ).toEqual([
    { from: 1, until: 3 },
    { from: 5, until: 9 },
  ]);
});

const someRanges = fc.array(
  fc.tuple(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 0, max: 12 })).map(([from, length]): Days => ({ from, until: from + length })),
  { maxLength: 8 },
);

/** The same by a set of single days. */
function daysOf(ranges: readonly Days[]): Set<number> {
  const days = new Set<number>();
  for (const range of ranges) for (let day = range.from; day < range.until; day += 1) days.add(day);
  return days;
}

test('union and difference hold the same days as sets do', () => {
  fc.assert(
    fc.property(someRanges, someRanges, (first, second) => {
      const union = unionOfDays([...first, ...second]);
      expect(daysOf(union)).toEqual(daysOf([...first, ...second]));
      expect(numberOfDays(union)).toBe(daysOf(union).size);
      const rest = subtractDays({ minuend: unionOfDays(first), subtrahend: unionOfDays(second) });
      const away = daysOf(second);
      expect(daysOf(rest)).toEqual(new Set([...daysOf(first)].filter((day) => !away.has(day))));
    }),
  );
});
