import type { CopyHistory, KeyHolder } from '../api/shapes';
import { copyLanesOf, lanesOf } from './custody-lanes';

const holder = (kind: KeyHolder['kind'], name: string): KeyHolder => ({ kind, id: name, code: 'X', name, siteId: null, siteCode: null });
const stay = (from: string, to: string | null, at: KeyHolder | 'missing' | 'destroyed'): CopyHistory['stays'][number] => ({
  state: typeof at === 'string' ? at : 'held', holder: typeof at === 'string' ? null : at, from: `${from}T00:00:00.000Z`, to: to === null ? null : `${to}T00:00:00.000Z`,
  eventId: from, says: 'issued', reason: 'Test', recordedAt: `${from}T00:00:00.000Z`, recordedBy: 'system:test', dueBackAt: null,
});
const [safe, orla] = [holder('store', 'Safe'), holder('person', 'Orla')];
const day = (text: string): number => Date.parse(`${text}T00:00:00.000Z`);

describe('where a copy was, as lanes', () => {
  it('gives each holder one lane with all their times', () => {
    const stays = [stay('2026-01-01', '2026-01-03', safe), stay('2026-01-03', '2026-01-09', orla), stay('2026-01-09', '2026-01-12', safe), stay('2026-01-12', null, 'missing')];
    expect(lanesOf(stays, day('2026-01-20'))).toEqual([
      { key: 'Safe', name: 'Safe', kind: 'store', spans: [{ from: day('2026-01-01'), to: day('2026-01-03') }, { from: day('2026-01-09'), to: day('2026-01-12') }] },
      { key: 'Orla', name: 'Orla', kind: 'person', spans: [{ from: day('2026-01-03'), to: day('2026-01-09') }] },
      { key: 'missing', name: null, kind: 'missing', spans: [{ from: day('2026-01-12'), to: day('2026-01-20') }] },
    ]);
  });

  it('ends nothing before it began, whatever the clock of the reader says', () => {
    expect(lanesOf([stay('2026-01-01', null, safe)], day('2025-12-01'))).toMatchObject([{ spans: [{ from: day('2026-01-01'), to: day('2026-01-01') }] }]);
  });
});

it('gives each copy of a cut one lane, whoever had it, in the order of their numbers', () => {
  const history = (number: string, ...stays: CopyHistory['stays']) => ({ keyCopyId: number, number, stays });
  const lanes = copyLanesOf([history('K-10', stay('2026-01-05', null, 'missing')), history('K-9', stay('2026-01-01', '2026-01-03', safe), stay('2026-01-03', null, orla))], day('2026-01-20'));
  expect(lanes).toEqual([
    { key: 'K-9', number: 'K-9', spans: [{ from: day('2026-01-01'), to: day('2026-01-03'), kind: 'store' }, { from: day('2026-01-03'), to: day('2026-01-20'), kind: 'person' }] },
    { key: 'K-10', number: 'K-10', spans: [{ from: day('2026-01-05'), to: day('2026-01-20'), kind: 'missing' }] },
  ]);
});
