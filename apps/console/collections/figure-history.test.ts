import { standingOf } from './figure-history';

const figure = (id: string, replacesId: string | null, replacedById: string | null) => ({ id, replacesId, replacedById });

describe('standingOf', () => {
  it('gives each figure that stands all that stood in its place before, the latest first', () => {
    const figures = [figure('a', null, 'b'), figure('b', 'a', 'd'), figure('c', null, null), figure('d', 'b', null)];
    expect(standingOf(figures).map(({ figure: { id }, before }) => [id, before.map((each) => each.id)])).toEqual([
      ['c', []],
      ['d', ['b', 'a']],
    ]);
  });

  it('shows a correction whose first figure was not sent without it', () => {
    expect(standingOf([figure('b', 'a', null)])).toEqual([{ figure: figure('b', 'a', null), before: [] }]);
  });
});
