import type { SettlementEvent } from '#contracts/settlement';
import type { Settlement } from '../api/shapes';
import { lastAnswer, openNote } from './open-note';

const history = (...kinds: SettlementEvent[]): Pick<Settlement, 'history'> => ({
  history: kinds.map((kind, index) => ({ kind, note: `${kind} ${index}`, happenedAt: '2026-11-01T10:00:00Z', happenedBy: 'user:1', orderedBy: null })),
});

it.each<[SettlementEvent[], string | null]>([
  [['drafted'], null],
  [['drafted', 'held'], 'held 1'],
  [['drafted', 'held', 'recomputed', 'released'], null],
  [['drafted', 'held', 'released', 'held'], 'held 3'],
])('knows whether a draft is held: %j', (kinds, note) => {
  expect(openNote(history(...kinds), 'hold')?.note ?? null).toBe(note);
});

it('shows the last answer until there is another question', () => {
  expect(lastAnswer(history('issued', 'questioned', 'answered'))?.note).toBe('answered 2');
  expect(lastAnswer(history('issued', 'questioned', 'answered', 'questioned'))).toBeNull();
  expect(openNote(history('issued', 'questioned', 'answered', 'questioned'), 'question')?.note).toBe('questioned 3');
});
