import type { FigureName } from './elements';
import { wrongSequence, type Figure } from './sums';

const figures = (toBox: readonly [sinceReset: bigint | null, sinceSetUp: bigint | null], notesIn: readonly [bigint, bigint] = [0n, 0n]) =>
  new Map<FigureName, Figure>([
    ['toBox', { sinceReset: toBox[0], sinceSetUp: toBox[1] }],
    ['notesIn', { sinceReset: notesIn[0], sinceSetUp: notesIn[1] }],
  ]);

describe('two transmissions of one machine', () => {
  it.each([
    ['without a reset between', [40_00n, 900_00n], [55_00n, 915_00n], null],
    ['with a reset at the first', [40_00n, 900_00n], [15_00n, 915_00n], null],
    ['with a reset some time between', [40_00n, 900_00n], [5_00n, 915_00n], null],
    ['of a machine that nobody ever resets', [0n, 900_00n], [0n, 915_00n], null],
    ['of a machine that was set up anew', [40_00n, 900_00n], [3_00n, 3_00n], null],
    ['where a side is not told', [null, 900_00n], [900_00n, 915_00n], null],
    ['of which the second has more since the reset than came in between', [40_00n, 900_00n], [16_00n, 915_00n], 'CA302'],
    ['with the sides exchanged once', [40_00n, 900_00n], [915_00n, 915_00n], 'CA302'],
  ] as const)('%s', (_what, before, after, element) => {
    expect(wrongSequence(figures(before), figures(after))?.element ?? null).toBe(element);
  });
  it('names the element of notes by itself', () => expect(wrongSequence(figures([0n, 0n], [10n, 50n]), figures([0n, 0n], [9n, 55n]))).toEqual({ code: 'does-not-add-up', element: 'CA309' }));
});
