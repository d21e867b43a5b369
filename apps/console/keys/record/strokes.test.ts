import { signatureSchema } from '#contracts/custody-acknowledgement';
import { extend, pathOf, withStroke, type Stroke } from './strokes';

const line = (points: number): Stroke => Array.from({ length: points }, (_, index) => index).reduce<Stroke>((stroke, index) => extend(stroke, { x: (index % 100) / 100, y: (index % 7) / 7 }), []);

describe('a drawn signature', () => {
  it('keeps points of the pad in thousandths, and none outside it', () => {
    expect(extend([], { x: 0.25, y: 1.2 })).toEqual([250, 1000]);
    expect(extend([250, 500], { x: -0.1, y: 0.5 })).toEqual([250, 500, 0, 500]);
  });

  it('leaves out a point where the pen hardly moved', () => {
    expect(extend([250, 500], { x: 0.252, y: 0.501 })).toEqual([250, 500]);
  });

  it('makes a short line of a dot', () => {
    expect(withStroke([], [1000, 20])).toEqual([[1000, 20, 1000, 20]]);
    expect(withStroke([], [])).toEqual([]);
  });

  it('is always one that the api takes, however long somebody scribbles', () => {
    let strokes: readonly Stroke[] = [];
    for (let count = 0; count < 100; count += 1) strokes = withStroke(strokes, line(count * 20));
    expect(strokes.length).toBeGreaterThan(2);
    expect(signatureSchema.safeParse({ kind: 'drawn', strokes }).success).toBe(true);
  });

  it('is drawn as a path', () => {
    expect(pathOf([1, 2, 30, 40])).toBe('M1,2 L30,40');
  });
});
