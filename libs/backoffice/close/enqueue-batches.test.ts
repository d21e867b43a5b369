import fc from 'fast-check';
import { evenly } from './enqueue-batches';

it('cuts a list into parts of nearly one length, none below the least unless there is only one', () => {
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 3000 }), fc.integer({ min: 1, max: 400 }), (length, least) => {
      const items = Array.from({ length }, (_, index) => index);
      const parts = evenly(items, least);
      expect(parts.flat()).toEqual(items);
      const lengths = parts.map((part) => part.length);
      expect(Math.max(...lengths) - Math.min(...lengths)).toBeLessThanOrEqual(1);
      if (parts.length > 1) expect(Math.min(...lengths)).toBeGreaterThanOrEqual(least);
      else expect(length).toBeLessThan(2 * least);
    }),
  );
});
