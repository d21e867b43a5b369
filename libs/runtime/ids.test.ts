import { newId } from './ids';

it('makes version 7 ids that sort in the order they were made', () => {
  const versionSeven = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/;
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
