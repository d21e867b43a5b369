import type { CoinSet } from '../generated';
import { coinsOn } from './coins-on';

const issue = (id: string, from: string | null, until: string | null) => ({ id, name: id, tender: 'coin', face: { amount: '1.00', currency: 'GBP' }, pieceGrams: '9.5', from, until, source: 'a table' }) as const;
const pounds: CoinSet = { currency: 'GBP', readOn: '2026-11-26', weighWithinPercent: 25, issues: [issue('round', '1983-04-21', '2017-10-15'), issue('new', '2017-03-28', null)] };

const idsOn = (day: string, sets: readonly CoinSet[] = [pounds]) => coinsOn(sets, { currency: 'GBP', day })?.issues.map(({ id }) => id);

it('offers the coins of the day of the visit', () => {
  expect([idsOn('2016-01-01'), idsOn('2017-11-30'), idsOn('2026-11-26')]).toEqual([['round'], ['round', 'new'], ['new']]);
});

it('knows no coins of a currency that nobody wrote down, and takes what was kept without days', () => {
  expect(coinsOn([pounds], { currency: 'JPY', day: '2026-11-26' })).toBeNull();
  expect(coinsOn(undefined, { currency: 'GBP', day: '2026-11-26' })).toBeNull();
  const before = JSON.parse(JSON.stringify(pounds, (key, value: unknown) => (key === 'from' || key === 'until' ? undefined : value))) as CoinSet;
  expect(idsOn('2026-11-26', [before])).toEqual(['round', 'new']);
});
