import { wrongSides } from '#domain/keys/event-sides';
import type { KeyHolder } from '../../api/shapes';
import { hasGiver, movementsFrom, receiversOf } from './movements';

const holder = (kind: KeyHolder['kind']): KeyHolder => ({ kind, id: kind, code: 'X', name: 'Somebody', siteId: null, siteCode: null });
const places = [...(['person', 'store', 'place'] as const).map((kind) => ({ state: 'held' as const, holder: holder(kind) })), { state: 'missing' as const, holder: null }];

describe('what can be recorded of a copy', () => {
  it.each(places)('is never refused for its sides: from %o', (where) => {
    for (const movement of movementsFrom(where)) {
      const receivers = receiversOf(movement, where);
      for (const to of receivers.length === 0 ? [null] : receivers.map(holder)) {
        expect(wrongSides({ says: movement, from: hasGiver(movement) ? where.holder : null, to })).toEqual([]);
      }
    }
  });

  it('is nothing once it was destroyed', () => {
    expect(movementsFrom({ state: 'destroyed', holder: null })).toEqual([]);
  });

  it('is found only what was missing', () => {
    expect(places.filter((where) => movementsFrom(where).includes('found'))).toEqual([{ state: 'missing', holder: null }]);
  });
});
