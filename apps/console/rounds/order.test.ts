import { moved } from './order';

describe('a stop that is moved', () => {
  it('changes places with its neighbour', () => {
    expect(moved(['a', 'b', 'c'], { from: 1, by: -1 })).toEqual(['b', 'a', 'c']);
    expect(moved(['a', 'b', 'c'], { from: 1, by: 1 })).toEqual(['a', 'c', 'b']);
  });

  it('stays at the ends', () => {
    expect(moved(['a', 'b'], { from: 0, by: -1 })).toEqual(['a', 'b']);
    expect(moved(['a', 'b'], { from: 1, by: 1 })).toEqual(['a', 'b']);
  });
});
