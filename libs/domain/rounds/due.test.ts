import fc from 'fast-check';
import { fromDayNumber, localDate, toDayNumber } from '#domain/calendar/local-date';
import { cashInBox, daysOverdue, dueOn, type BoxFilling } from './due';

const emptied: BoxFilling = { knownMinor: 0n, knownOn: localDate('2026-03-01'), lately: { takenMinor: 28_000n, days: 28 } };
const visiting = { everyDays: 28, boxLimitMinor: null, countedFrom: localDate('2026-03-01'), boxes: [emptied] };

test('without a limit a visit is due after the days of the rhythm', () => {
  expect(dueOn(visiting)).toEqual({ on: '2026-03-29', because: 'rhythm' });
  expect(dueOn({ ...visiting, everyDays: null })).toBeNull();
});

test('a box that fills faster makes it due on the first day on which the limit is reached', () => {
  // 10.00 a day: 95.01 is reached on the tenth day, 100.00 as well, 100.01 on the eleventh.
  for (const [limit, day] of [[9501n, '2026-03-11'], [10_000n, '2026-03-11'], [10_001n, '2026-03-12']] as const) {
    expect(dueOn({ ...visiting, boxLimitMinor: limit })).toEqual({ on: day, because: 'cash' });
  }
});

test('the fullest of several boxes decides, and the rhythm when both fall on one day', () => {
  const fast = { ...emptied, lately: { takenMinor: 56_000n, days: 28 } };
  expect(dueOn({ ...visiting, boxLimitMinor: 20_000n, boxes: [emptied, fast] })).toEqual({ on: '2026-03-11', because: 'cash' });
  expect(dueOn({ ...visiting, everyDays: 10, boxLimitMinor: 20_000n, boxes: [emptied, fast] })).toEqual({ on: '2026-03-11', because: 'rhythm' });
});

test('what a machine reported counts from the day of the report', () => {
  const reported = { ...emptied, knownMinor: 15_000n, knownOn: localDate('2026-03-05') };
  expect(cashInBox(reported, localDate('2026-03-07'))).toBe(17_000n);
  expect(dueOn({ ...visiting, boxLimitMinor: 18_000n, boxes: [reported] })).toEqual({ on: '2026-03-08', because: 'cash' });
  expect(dueOn({ ...visiting, boxLimitMinor: 15_000n, boxes: [reported] })).toEqual({ on: '2026-03-05', because: 'cash' });
});

test('nothing is made up of a box that was never counted', () => {
  const unknown = { ...emptied, lately: null };
  expect(cashInBox(unknown, localDate('2026-03-05'))).toBeNull();
  expect(cashInBox(unknown, localDate('2026-03-01'))).toBe(0n);
  expect(dueOn({ ...visiting, everyDays: null, boxLimitMinor: 1n, boxes: [unknown, { ...emptied, lately: { takenMinor: 0n, days: 28 } }] })).toBeNull();
  // A limit of centuries leaves the calendar.
  expect(dueOn({ ...visiting, everyDays: null, boxLimitMinor: 10n ** 15n })).toBeNull();
});

test('a visit is late from the day after it was due', () => {
  expect(daysOverdue({ due: localDate('2026-03-29'), today: localDate('2026-03-29') })).toBe(0);
  expect(daysOverdue({ due: localDate('2026-03-29'), today: localDate('2026-04-02') })).toBe(4);
});

test('on the day that is named the estimate has reached the limit, and on the day before it has not', () => {
  const day = fc.integer({ min: 0, max: 400 }).map((days) => fromDayNumber(20_000 + days));
  const box = fc.record({ knownMinor: fc.bigInt(0n, 50_000n), knownOn: day, lately: fc.record({ takenMinor: fc.bigInt(1n, 10n ** 6n), days: fc.integer({ min: 1, max: 120 }) }) });
  fc.assert(
    fc.property(box, fc.bigInt(1n, 10n ** 6n), (filling, limit) => {
      const due = dueOn({ everyDays: null, boxLimitMinor: limit, countedFrom: filling.knownOn, boxes: [filling] });
      if (due === null) return;
      const exact = (on: number) => filling.knownMinor * BigInt(filling.lately.days) + filling.lately.takenMinor * BigInt(on - toDayNumber(filling.knownOn));
      const wanted = limit * BigInt(filling.lately.days);
      expect(exact(toDayNumber(due.on)) >= wanted).toBe(true);
      if (due.on > filling.knownOn) expect(exact(toDayNumber(due.on) - 1) < wanted).toBe(true);
    }),
    { numRuns: 300 },
  );
});
