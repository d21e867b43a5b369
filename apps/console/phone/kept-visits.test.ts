import { emptyDraft, type Stop } from './draft';
import { begunAt, begunElsewhere } from './kept-visits';
import type { KeptVisit } from './store';

const quay = { roundId: 'harbour', siteId: 'quay' };
const mill = { roundId: 'harbour', siteId: 'mill' };
const kept = (id: string, place: typeof quay, isFinished = false): KeptVisit => ({
  operatorId: 'operator', accountId: 'orla', id, stop: { ...place } as Stop, draft: emptyDraft(new Date('2026-03-31T14:05:09Z')),
  visit: isFinished ? { siteId: place.siteId, happenedAt: '2026-03-31T14:05:09Z' } : null, finishedAt: null, sequence: null,
});

describe('visits on the phone', () => {
  it('finds the one begun at a stop, not one that waits to be sent', () => {
    const visits = [kept('sent soon', quay, true), kept('begun', quay), kept('other', mill)];
    expect(begunAt(visits, quay)?.id).toBe('begun');
    expect(begunAt(visits, { ...quay, roundId: 'next' })).toBeUndefined();
  });

  it('lists those begun at a stop that has left the list, also where the site is on another round', () => {
    const visits = [kept('waits', quay, true), kept('at quay', quay), kept('at mill', mill)];
    expect(begunElsewhere(visits, [quay]).map(({ id }) => id)).toEqual(['at mill']);
    expect(begunElsewhere(visits, [{ ...quay, roundId: 'next' }]).map(({ id }) => id)).toEqual(['at quay', 'at mill']);
    expect(begunElsewhere(visits, [quay, mill])).toEqual([]);
  });
});
