import { RequestError } from '../api/problem';
import { isOver } from './counted-elsewhere';

const refused = (code: string) => () => Promise.reject(new RequestError({ kind: 'refused', problem: { type: 'about:blank', title: code, status: 403, code } as never }));

it.each([
  ['is still to be counted', () => Promise.resolve({ state: 'open' as const }), false],
  ['was counted', () => Promise.resolve({ state: 'counted' as const }), true],
  ['was discarded', () => Promise.resolve({ state: 'discarded' as const }), true],
  ['waits, and is not shown to who counts', refused('being-counted'), true],
  ['is gone', refused('not-found'), true],
  ['is not for this role', refused('not-allowed'), false],
  ['cannot be asked about now', () => Promise.reject(new RequestError({ kind: 'unreachable' })), false],
])('a begun count of a collection that %s', async (_what, collection, over) => {
  expect(await isOver(collection)).toBe(over);
});
