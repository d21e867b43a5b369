import { rational } from '#domain/money/rational';
import { exactText } from './exact';

it.each([
  [rational(6_369_359n, 1_000n), 'USD', '63.69359'],
  [rational(10_000n, 3n), 'USD', '33.333333333...'],
  [rational(-10_000n, 3n), 'USD', '-33.333333333...'],
  [rational(5n, 2n), 'USD', '0.025'],
  [rational(0n), 'USD', '0'],
  [rational(700n, 2n), 'JPY', '350'],
  [rational(1n, 3n), 'KWD', '0.000333333...'],
] as const)('%p in %s is %s', (value, currency, text) => {
  expect(exactText(value, currency)).toBe(text);
});
