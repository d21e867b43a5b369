import type { ImportError } from '../api/shapes';
import { alike } from './alike';

const error = (lineNumber: number, value: string): ImportError => ({ lineNumber, column: 'site', code: 'unknown', value, message: 'There is no site with this code.' });

it('tells what reads alike once, with each of its lines once, in the order of the first', () => {
  const found = alike([error(3, 'S-9'), error(4, 'S-8'), error(7, 'S-9'), error(7, 'S-9')]);
  expect(found.map(({ error: { value }, lines }) => [value, lines])).toEqual([
    ['S-9', [3, 7]],
    ['S-8', [4]],
  ]);
});
