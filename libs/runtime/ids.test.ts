import { isId, newId, seededIds } from './ids';

const versionSeven = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;

it('makes version 7 ids that sort in the order they were made', () => {
  const ids = Array.from({ length: 1000 }, newId);
  expect(ids.every((id) => versionSeven.test(id))).toBe(true);
  expect([...ids].sort()).toEqual(ids);
  expect(new Set(ids).size).toBe(1000);
});

it('begins with the time in milliseconds (RFC 9562 section 5.7)', () => {
  const before = Date.now();
  const stamp = Number.parseInt(newId().replace('-', '').slice(0, 12), 16);
  expect(stamp).toBeGreaterThanOrEqual(before);
  expect(stamp).toBeLessThanOrEqual(Date.now() + 1);
});

it('makes the same ids from the same seed, in order and without a repetition', () => {
  const now = (): Date => new Date('2026-03-01T00:00:00Z');
  const make = (seed: string): string[] => {
    const next = seededIds({ seed, now });
    return Array.from({ length: 5000 }, next);
  };
  const ids = make('demo');
  expect(make('demo')).toEqual(ids);
  expect(ids.every((id) => versionSeven.test(id))).toBe(true);
  expect([...ids].sort()).toEqual(ids);
  expect(new Set([...ids, ...make('other')]).size).toBe(10_000);
});

it('tells an id from other text', () => {
  expect([isId(newId()), isId('019236b2'), isId('019236b2-5b1c-7d40-cdb0-9496a2eef37b')]).toEqual([true, false, false]);
});
