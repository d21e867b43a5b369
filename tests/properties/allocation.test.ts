/** Laws of an allocation by largest remainder. */
import fc from 'fast-check';
import { allocate } from '#domain/money/allocation';
import { holds } from '#tests/support/property-runs';

const weight = fc.oneof(fc.constant(0n), fc.bigInt({ min: 0n, max: 20n }), fc.bigInt({ min: 0n, max: 10n ** 12n }));
const weightsOf = (minLength: number, maxLength: number) => fc.array(weight, { minLength, maxLength }).filter((weights) => weights.some((each) => each > 0n));
const amount = fc.oneof(fc.bigInt({ min: -50n, max: 50n }), fc.bigInt({ min: -(10n ** 15n), max: 10n ** 15n }));

const sumOf = (values: readonly bigint[]) => values.reduce((sum, value) => sum + value, 0n);

test('the parts sum to the amount; each is its quota rounded down or up; who weighs nothing gets nothing', () => {
  holds(
    fc.property(amount, weightsOf(1, 9), (amountMinor, weights) => {
      const parts = allocate({ amountMinor, weights });
      const total = sumOf(weights);
      expect(sumOf(parts)).toBe(amountMinor);
      parts.forEach((part, index) => {
        const own = weights[index] ?? 0n;
        const away = part * total - amountMinor * own;
        expect(away < total && away > -total).toBe(true);
        if (own === 0n) expect(part).toBe(0n);
      });
    }),
    { thousandths: 40 },
  );
});

test('only the ratios of the weights matter, and a negative amount is the mirror image', () => {
  holds(
    fc.property(amount, weightsOf(1, 9), fc.bigInt({ min: 2n, max: 10n ** 9n }), (amountMinor, weights, factor) => {
      const parts = allocate({ amountMinor, weights });
      expect(allocate({ amountMinor, weights: weights.map((each) => each * factor) })).toEqual(parts);
      expect(allocate({ amountMinor: -amountMinor, weights }).map((part) => -part)).toEqual(parts);
    }),
    { thousandths: 40 },
  );
});

test('who weighs more never gets less; of equals the one listed first gets the odd unit', () => {
  holds(
    fc.property(fc.bigInt({ min: 0n, max: 10n ** 6n }), weightsOf(2, 9), (amountMinor, weights) => {
      const parts = allocate({ amountMinor, weights });
      weights.forEach((first, index) =>
        weights.forEach((second, place) => {
          if (first > second || (first === second && index < place)) expect(parts[index]).toBeGreaterThanOrEqual(parts[place] ?? 0n);
        }),
      );
    }),
    { thousandths: 40 },
  );
});

test('among different weights the order in which they stand does not matter', () => {
  holds(
    fc.property(amount, fc.uniqueArray(fc.bigInt({ min: 1n, max: 10n ** 9n }), { minLength: 2, maxLength: 8 }), (amountMinor, weights) => {
      const total = sumOf(weights);
      const fractions = new Set(weights.map((each) => ((amountMinor < 0n ? -amountMinor : amountMinor) * each) % total));
      if (fractions.size < weights.length) return;
      const turned = allocate({ amountMinor, weights: [...weights].reverse() }).reverse();
      expect(turned).toEqual(allocate({ amountMinor, weights }));
    }),
    { thousandths: 40 },
  );
});

test('two parties: more to divide never lowers a part; more parties: by one unit at most', () => {
  holds(
    fc.property(fc.bigInt({ min: 0n, max: 10n ** 9n }), fc.bigInt({ min: 1n, max: 10n ** 6n }), weightsOf(2, 6), (amountMinor, moreMinor, weights) => {
      const before = allocate({ amountMinor, weights });
      const after = allocate({ amountMinor: amountMinor + moreMinor, weights });
      after.forEach((part, index) => expect(part - (before[index] ?? 0n)).toBeGreaterThanOrEqual(weights.length === 2 ? 0n : -1n));
    }),
    { thousandths: 40 },
  );
});
