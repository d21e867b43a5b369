import { fixedClock, systemClock } from './clock';

it('reads the system clock', () => {
  const before = Date.now();
  const now = systemClock.now().getTime();
  expect(now).toBeGreaterThanOrEqual(before);
  expect(now).toBeLessThanOrEqual(Date.now());
});

it('stands still until it is told to go on', () => {
  const clock = fixedClock('2026-03-01T12:00:00+01:00');
  expect(clock.now().toISOString()).toBe('2026-03-01T11:00:00.000Z');
  clock.now().setFullYear(1999);
  expect(clock.now().toISOString()).toBe('2026-03-01T11:00:00.000Z');
  clock.advance({ milliseconds: 90_000 });
  expect(clock.now().toISOString()).toBe('2026-03-01T11:01:30.000Z');
  clock.set(new Date('2027-01-01T00:00:00Z'));
  expect(clock.now().toISOString()).toBe('2027-01-01T00:00:00.000Z');
});

it('refuses what is no instant', () => {
  expect(() => fixedClock('yesterday')).toThrow('not an instant');
});
