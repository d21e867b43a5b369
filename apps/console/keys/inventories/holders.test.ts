import type { KeyInventory } from '../../api/shapes';
import { heldTogether } from './holders';

type Item = KeyInventory['items'][number];

const item = (number: string, holder: string | null, isCounted = false): Item => ({
  keyCopyId: number, number, keyCodeId: 'code', code: 'CUT', class: 'access',
  where: { state: holder === null ? 'missing' : 'held', holder: holder === null ? null : { kind: 'person', id: holder, code: holder, name: holder, siteId: null, siteCode: null }, since: '2026-01-01T00:00:00.000Z', dueBackAt: null },
  counted: isCounted ? { how: 'seen', at: '2026-03-01T00:00:00.000Z', by: 'user:1', withoutSecondPerson: false } : null,
});

describe('copies as they are counted', () => {
  it('are together by who has them, where something is left to count first and what is missing last', () => {
    const groups = heldTogether([item('K-1', null), item('K-2', 'Bea', true), item('K-3', 'Zoe'), item('K-4', 'Ann', true), item('K-5', 'Zoe', true)]);
    expect(groups.map(({ holder, items, left }) => [holder?.name ?? null, items.map(({ number }) => number), left])).toEqual([
      ['Zoe', ['K-3', 'K-5'], 1],
      ['Ann', ['K-4'], 0],
      ['Bea', ['K-2'], 0],
      [null, ['K-1'], 1],
    ]);
  });

  it('are none where none are asked for', () => {
    expect(heldTogether([])).toEqual([]);
  });
});
