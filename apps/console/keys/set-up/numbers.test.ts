import { codeFromName, nextNumber, numbersFrom } from './numbers';

test.each([
  ['B1-07', 3, ['B1-07', 'B1-08', 'B1-09']],
  ['B1-99', 2, ['B1-99', 'B1-100']],
  ['7', 2, ['7', '8']],
  ['SPARE', 1, ['SPARE']],
  ['SPARE', 2, null],
  ['A999999999999999999', 1, ['A999999999999999999']],
  ['A9999999999999999999', 2, null],
])('from %s, %d numbers', (first, howMany, numbers) => {
  expect(numbersFrom(first, howMany)).toEqual(numbers);
});

test('the next number follows the highest, counted as people count', () => {
  expect(nextNumber(['B1-9', 'B1-10', 'B1-2'])).toBe('B1-11');
  expect(nextNumber([])).toBe('');
  expect(nextNumber(['SPARE'])).toBe('');
});

test.each([
  ['Bo Tarn', 'BO-TARN'],
  ['  Ömer Yıldırım ', 'OMER-YILDIRIM'],
  ['Maximiliana Sandoval-Rhee', 'MAXIMILIANA-SANDOVAL'],
  ['李', ''],
])('the code of %s', (name, code) => {
  expect(codeFromName(name)).toBe(code);
});
