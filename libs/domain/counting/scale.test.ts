import { scaleShowsRight } from './scale';

describe('a scale', () => {
  it.each([
    [2_000_000n, 2_000_000n, true],
    [2_000_000n, 2_002_000n, true],
    [2_000_000n, 2_002_001n, false],
    [2_000_000n, 1_998_000n, true],
    [2_000_000n, 1_997_999n, false],
    [2_000_000n, 0n, false],
  ])('that shows for %s mg %s mg is right: %s', (referenceMilligrams, shownMilligrams, right) => expect(scaleShowsRight({ referenceMilligrams, shownMilligrams })).toBe(right));
});
