import fc from 'fast-check';
import { allocate, allocateTable } from '#domain/money/allocation';

// Largest remainder, published example: 7 units by 50 / 30 / 20.
test('weights 50, 30, 20 over 7 units give 4, 2, 1', () => {
  expect(allocate({ amountMinor: 7n, weights: [50n, 30n, 20n] })).toEqual([4n, 2n, 1n]);
});

test('a tie goes to the one listed first', () => {
  expect(allocate({ amountMinor: 1n, weights: [1n, 1n] })).toEqual([1n, 0n]);
  expect(allocate({ amountMinor: 2n, weights: [1n, 1n, 1n] })).toEqual([1n, 1n, 0n]);
});

test('a negative amount is the mirror image of the positive one', () => {
  expect(allocate({ amountMinor: -7n, weights: [50n, 30n, 20n] })).toEqual([-4n, -2n, -1n]);
});

test('all weights zero: everything to the first', () => {
  expect(allocate({ amountMinor: 9n, weights: [0n, 0n] })).toEqual([9n, 0n]);
});

test('nobody to allocate to and negative weights are mistakes of the caller', () => {
  expect(() => allocate({ amountMinor: 1n, weights: [] })).toThrow('Nobody to allocate to');
  expect(() => allocate({ amountMinor: 1n, weights: [-1n] })).toThrow('cannot be below zero');
  expect(() => allocate({ amountMinor: 1n, weights: [2n, -1n] })).toThrow('cannot be below zero');
});

// From three parties up a larger amount can lower a part (the Alabama paradox of apportionment): weights 6, 6, 2 with 10 and 11 units.
test('from three parties up, one unit more can cost a party one', () => {
  expect(allocate({ amountMinor: 10n, weights: [6n, 6n, 2n] })).toEqual([4n, 4n, 2n]);
  expect(allocate({ amountMinor: 11n, weights: [6n, 6n, 2n] })).toEqual([5n, 5n, 1n]);
});

const weightsOf = (constraints: { minLength: number; maxLength: number }) => fc.array(fc.bigInt({ min: 0n, max: 10n ** 12n }), constraints);

test('the parts sum to the amount and stay within one unit of their quota', () => {
  fc.assert(
    fc.property(fc.bigInt({ min: -(10n ** 15n), max: 10n ** 15n }), weightsOf({ minLength: 1, maxLength: 9 }), (amountMinor, weights) => {
      const parts = allocate({ amountMinor, weights });
      expect(parts.reduce((sum, part) => sum + part, 0n)).toBe(amountMinor);
      const total = weights.reduce((sum, weight) => sum + weight, 0n);
      if (total === 0n) return;
      parts.forEach((part, index) => {
        const away = part * total - amountMinor * (weights[index] ?? 0n);
        expect(away < total && away > -total).toBe(true);
      });
    }),
  );
});

test('two parties: more to divide never lowers a part', () => {
  fc.assert(
    fc.property(fc.bigInt({ min: 0n, max: 10n ** 9n }), weightsOf({ minLength: 2, maxLength: 2 }), (amountMinor, weights) => {
      const before = allocate({ amountMinor, weights });
      const after = allocate({ amountMinor: amountMinor + 1n, weights });
      after.forEach((part, index) => expect(part).toBeGreaterThanOrEqual(before[index] ?? 0n));
    }),
  );
});

test('a table keeps both its row sums and its column sums, without a negative cell', () => {
  fc.assert(
    fc.property(
      fc.array(fc.bigInt({ min: 0n, max: 10n ** 9n }), { minLength: 1, maxLength: 6 }),
      weightsOf({ minLength: 1, maxLength: 4 }),
      (rows, weights) => {
        const total = rows.reduce((sum, row) => sum + row, 0n);
        const columns = allocate({ amountMinor: total, weights });
        const table = allocateTable({ rows, columns });
        table.forEach((cells, index) => expect(cells.reduce((sum, cell) => sum + cell, 0n)).toBe(rows[index]));
        columns.forEach((column, index) => expect(table.reduce((sum, cells) => sum + (cells[index] ?? 0n), 0n)).toBe(column));
        expect(table.flat().every((cell) => cell >= 0n)).toBe(true);
      },
    ),
  );
});
