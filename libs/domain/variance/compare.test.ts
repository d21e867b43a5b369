import fc from 'fast-check';
import { aloneOf, variancesOf } from './compare';
import { defaultTolerance, type Tolerance } from './tolerance';

const usd = defaultTolerance('USD') as Tolerance;

test('a shortage of coins stands beside an overage of notes', () => {
  const expected = [{ tender: 'coin', expectedMinor: 20000n }, { tender: 'note', expectedMinor: 5000n }] as const;
  expect(variancesOf({ coinMinor: 18000n, noteMinor: 7000n }, expected)).toEqual([
    { tender: 'coin', expectedMinor: 20000n, countedMinor: 18000n, varianceMinor: -2000n },
    { tender: 'note', expectedMinor: 5000n, countedMinor: 7000n, varianceMinor: 2000n },
  ]);
});

test('where meters do not tell them apart, coins and notes are compared together, and never twice', () => {
  expect(variancesOf({ coinMinor: 18000n, noteMinor: 7000n }, [{ tender: 'cash', expectedMinor: 26000n }])).toMatchObject([{ varianceMinor: -1000n }]);
  expect(() => variancesOf({ coinMinor: 0n, noteMinor: 0n }, [{ tender: 'cash', expectedMinor: 1n }, { tender: 'coin', expectedMinor: 1n }])).toThrow(RangeError);
  expect(variancesOf({ coinMinor: 1n, noteMinor: 1n }, [])).toEqual([]);
});

test('what meters do not say is no difference', () => {
  expect(variancesOf({ coinMinor: 18000n, noteMinor: 0n }, [{ tender: 'coin', expectedMinor: null }])).toEqual([{ tender: 'coin', expectedMinor: null, countedMinor: 18000n, varianceMinor: null }]);
});

test('what is counted in one tender never shows in the variance of another', () => {
  const minor = fc.bigInt({ min: 0n, max: 10n ** 9n });
  fc.assert(
    fc.property(minor, minor, minor, minor, minor, (coinMinor, noteMinor, coin, note, more) => {
      const expected = [{ tender: 'coin', expectedMinor: coin }, { tender: 'note', expectedMinor: note }] as const;
      const [, before] = variancesOf({ coinMinor, noteMinor }, expected);
      const [, after] = variancesOf({ coinMinor: coinMinor + more, noteMinor }, expected);
      expect(after).toEqual(before);
    }),
    { numRuns: 200 },
  );
});

const threeWays = (mechanical: bigint, electronic: bigint, counted: bigint) =>
  aloneOf<'mechanical-differs' | 'electronic-differs' | 'counted-differs'>([{ name: 'mechanical-differs', minor: mechanical }, { name: 'electronic-differs', minor: electronic }, { name: 'counted-differs', minor: counted }], usd);

test.each([
  [100000n, 100000n, 99000n, 'all-agree'],
  [100000n, 100000n, 90000n, 'counted-differs'],
  [80000n, 100000n, 100000n, 'mechanical-differs'],
  [100000n, 80000n, 100000n, 'electronic-differs'],
  [80000n, 100000n, 60000n, 'unclear'],
] as const)('mechanical %s, electronic %s, counted %s', (mechanical, electronic, counted, expected) => {
  expect(threeWays(mechanical, electronic, counted)).toBe(expected);
});

test('who agrees with two that do not agree with each other makes it unclear', () => {
  expect(threeWays(100000n, 98000n, 96000n)).toBe('unclear');
});
