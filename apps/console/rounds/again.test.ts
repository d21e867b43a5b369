import type { Round } from '../api/shapes';
import { beginsAs, missedStops, stopsToPlan } from './again';

const stop = (siteId: string, collectedOn: string | null = null, plannedAgainOn: string | null = null) => ({ siteId, siteCode: siteId, siteName: siteId, collectedOn, plannedAgainOn });
const round: Round = {
  id: 'r', name: 'Harbour', plannedOn: '2026-03-10', collectorId: 'orla', collectorName: 'Orla Venn', state: 'planned', cancelledBecause: null, revision: 1, recordedAt: '2026-03-01T12:00:00Z', recordedBy: 'user:1',
  stops: [stop('mill'), stop('quay', '2026-03-10'), stop('dock', null, '2026-03-20'), stop('pier', null, '2026-04-02')],
};

test('stops are missed where nobody went, until a later round of a day that is over was to go there', () => {
  expect(missedStops(round, '2026-03-31').map(({ siteId }) => siteId)).toEqual(['mill', 'pier']);
  expect(missedStops(round, '2026-03-20').map(({ siteId }) => siteId)).toEqual(['mill', 'dock', 'pier']);
});

test('a round begins with the sites of another in their order, its name and its collector', () => {
  expect(beginsAs(round, round.stops)).toEqual({ name: 'Harbour', collectorId: 'orla', siteIds: ['mill', 'quay', 'dock', 'pier'] });
  expect(beginsAs(round, missedStops(round, '2026-03-31')).siteIds).toEqual(['mill', 'pier']);
});

test('what a later round goes to already is not planned once more', () => {
  expect(stopsToPlan(round).map(({ siteId }) => siteId)).toEqual(['mill']);
  expect(stopsToPlan({ stops: [stop('quay', '2026-03-10'), stop('pier', null, '2026-04-02')] })).toEqual([]);
});
