import type { AgreementState } from '../api/shapes';
import { agree } from './agree';
import { rowOf } from './row.fixture';

const rows = (...states: AgreementState[]) => states.map((state, index) => rowOf(`S-${index}`, state));

describe('a list and the progress of its close', () => {
  it('agree when every settlement is as far as the progress says', () => {
    const list = rows('no-collections', 'ready', 'draft', 'reviewed', 'numbered', 'issued', 'failed');
    expect(agree(list, { settled: 4, reviewed: 3, numbered: 2, issued: 1 })).toBe(true);
    expect(agree([], { settled: 0, reviewed: 0, numbered: 0, issued: 0 })).toBe(true);
  });

  it.each([
    { settled: 5, reviewed: 3, numbered: 2, issued: 1 },
    { settled: 4, reviewed: 4, numbered: 2, issued: 1 },
    { settled: 4, reviewed: 3, numbered: 3, issued: 1 },
    { settled: 4, reviewed: 3, numbered: 2, issued: 2 },
  ])('do not agree when work has gone on to %j', (progress) => {
    expect(agree(rows('draft', 'reviewed', 'numbered', 'issued'), progress)).toBe(false);
  });
});
