import fc from 'fast-check';
import { nextAttemptAt, PAUSES_MINUTES, retryAfterMs } from './retry';

const at = new Date('2026-03-31T12:00:00Z');
const minutesUntil = (next: Date | null) => (next === null ? null : (next.getTime() - at.getTime()) / 60_000);

it('tries eight times in about a day', () => {
  const total = PAUSES_MINUTES.reduce<number>((sum, minutes) => sum + minutes, 0);
  expect(total / 60).toBeGreaterThan(22);
  expect(total * 1.1 / 60).toBeLessThan(27);
  const pauses = Array.from({ length: 8 }, (_, index) => minutesUntil(nextAttemptAt({ deliveryId: 'a', attempts: index + 1, at, retryAfterMs: null })));
  expect(pauses.at(-1)).toBeNull();
  for (const [index, minutes] of PAUSES_MINUTES.entries()) {
    expect(pauses[index]).toBeGreaterThanOrEqual(minutes);
    expect(pauses[index]).toBeLessThanOrEqual(minutes * 1.1 + 0.001);
  }
});

it('spreads deliveries that failed together, and says the same when asked again', () => {
  const of = (deliveryId: string) => nextAttemptAt({ deliveryId, attempts: 4, at, retryAfterMs: null })?.getTime();
  expect(new Set(Array.from({ length: 40 }, (_, index) => of(String(index)))).size).toBeGreaterThan(30);
  expect(of('a')).toBe(of('a'));
});

it('waits as long as the receiver asks, within eight hours, and never shorter than the table', () => {
  const after = (ms: number) => minutesUntil(nextAttemptAt({ deliveryId: 'a', attempts: 2, at, retryAfterMs: ms }));
  expect(after(60 * 60_000)).toBe(60);
  expect(after(1000)).toBeGreaterThanOrEqual(5);
  expect(after(30 * 24 * 60 * 60_000)).toBe(480);
});

it.each([
  [undefined, null],
  ['120', 120_000],
  ['Tue, 31 Mar 2026 12:10:00 GMT', 600_000],
  ['Tue, 31 Mar 2026 11:00:00 GMT', 0],
  ['soon', null],
])('reads Retry-After %s', (header, ms) => {
  expect(retryAfterMs(header, at)).toBe(ms);
});

it('makes at most eight attempts, each after the one before, whatever receivers answer and however often it is asked', () => {
  fc.assert(
    fc.property(fc.uuid(), fc.array(fc.record({ tookMs: fc.nat(20_000), askedMs: fc.option(fc.nat(10 ** 10)) }), { minLength: 8, maxLength: 12 }), (deliveryId, failures) => {
      let now = at;
      let attempts = 0;
      for (const { tookMs, askedMs } of failures) {
        attempts += 1;
        const failed = { deliveryId, attempts, at: new Date(now.getTime() + tookMs), retryAfterMs: askedMs };
        const next = nextAttemptAt(failed);
        expect(nextAttemptAt(failed)).toEqual(next);
        if (next === null) break;
        const pauseMinutes = (next.getTime() - failed.at.getTime()) / 60_000;
        expect(pauseMinutes).toBeGreaterThanOrEqual(PAUSES_MINUTES[attempts - 1] ?? 0);
        expect(pauseMinutes).toBeLessThanOrEqual(600);
        now = next;
      }
      expect(attempts).toBe(8);
    }),
    { numRuns: 300 },
  );
});
