import { formatChance } from './chance';

test('two digits of per cent, and the smallest as below', () => {
  const shown = (chance: number) => formatChance(chance, 'en-US', (percent) => `below ${percent}`);
  expect([1, 0.4857, 0.0028, 0.0001, 0.00009, 0].map(shown)).toEqual(['100%', '49%', '0.28%', '0.01%', 'below 0.01%', 'below 0.01%']);
});
