import type { KeyCopy, Person } from '../../api/shapes';
import { planRings } from './ring-plan';

const person = (code: string): Person => ({ id: code, code, name: code, employedBy: 'operator', siteId: null, email: null, startedOn: '2026-01-01', leftOn: null, revision: 1 });
const copy = (number: string, keyCodeId: string, storeId: string | null): KeyCopy => ({
  id: number, number, keyCodeId, code: keyCodeId, class: 'cash-box', duplicatedFromId: null,
  where: { state: 'held', holder: { kind: storeId === null ? 'person' : 'store', id: storeId ?? 'p', code: 'H', name: 'H', siteId: null, siteCode: null }, since: '2026-01-01T00:00:00Z', dueBackAt: null },
});
const plan = (codeIds: readonly string[], copies: readonly KeyCopy[], people = ['C-1', 'C-2', 'C-3']) =>
  planRings({ people: people.map(person), codeIds, copies }).map(({ code, storeId, copies: given }) => [code, storeId, given.map(({ number }) => number).join(' ')]);

test('each gets one copy of every cut, no copy twice', () => {
  const copies = [copy('A-1', 'A', 'safe'), copy('A-2', 'A', 'safe'), copy('B-1', 'B', 'safe'), copy('A-0', 'A', null), copy('B-2', 'B', 'safe')];
  expect(plan(['A', 'B'], copies)).toEqual([['RING-C-1', 'safe', 'A-1 B-1'], ['RING-C-2', 'safe', 'A-2 B-2'], ['RING-C-3', null, '']]);
});

test('what goes out in one step comes out of one store', () => {
  const copies = [copy('A-1', 'A', 'van'), copy('B-1', 'B', 'safe'), copy('A-2', 'A', 'safe')];
  expect(plan(['A', 'B'], copies, ['C-1', 'C-2'])).toEqual([['RING-C-1', 'safe', 'A-2 B-1'], ['RING-C-2', null, '']]);
});

test('without a cut there is nothing to give', () => {
  expect(plan([], [copy('A-1', 'A', 'safe')], ['MAXIMILIANA-SANDOVAL'])).toEqual([['RING-MAXIMILIANA-SAN', null, '']]);
});
