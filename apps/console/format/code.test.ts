import { asCode, asKind, isCode, isKind } from './code';

test.each([
  ['  a 12 ', 'A-12', true],
  ['north pier', 'NORTH-PIER', true],
  ['é', 'É', false],
  ['-A', '-A', false],
  ['', '', false],
  ['A2345678901234567890', 'A2345678901234567890', true],
  ['A23456789012345678901', 'A23456789012345678901', false],
])('a code typed as %p is %p, possible: %p', (typed, code, possible) => {
  expect(asCode(typed)).toBe(code);
  expect(isCode({ typed })).toBe(possible);
});

it('takes longer codes where the books do', () => {
  expect(isCode({ typed: 'A23456789012345678901', longest: 30 })).toBe(true);
});

test.each([
  ['Pool table', 'pool-table', true],
  ['Küchen-Krähe ', 'kuchen-krahe', true],
  ['8 ball', '8-ball', false],
  ['x', 'x', false],
])('a sort of machine typed as %p is %p, possible: %p', (typed, kind, possible) => {
  expect(asKind(typed)).toBe(kind);
  expect(isKind(typed)).toBe(possible);
});
