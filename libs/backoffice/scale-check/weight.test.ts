import { toGrams, toMilligrams } from './weight';

it.each([['0', 0n], ['0.001', 1n], ['1134', 1_134_000n], ['1134.25', 1_134_250n], ['9999999.999', 9_999_999_999n]])('%s g is %s mg, and back', (grams, milligrams) => {
  expect(toMilligrams(grams)).toBe(milligrams);
  expect(toGrams(milligrams)).toBe(grams);
});
