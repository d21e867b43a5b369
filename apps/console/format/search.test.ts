import { matches } from './search';

describe('looking for something', () => {
  it('wants every word somewhere, in any order', () => {
    expect(matches('bar S-1', ['S-1', 'The Bar'])).toBe(true);
    expect(matches('bar S-2', ['S-1', 'The Bar'])).toBe(false);
  });

  it('does not mind capitals, accents and spaces at the ends', () => {
    expect(matches('  CAFE ', ['Café'])).toBe(true);
    expect(matches('café', ['CAFE'])).toBe(true);
  });

  it('finds everything when nothing is looked for', () => {
    expect(matches('', ['anything'])).toBe(true);
    expect(matches('   ', [])).toBe(true);
  });
});
