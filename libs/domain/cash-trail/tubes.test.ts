import { tubesOf, type ReadOut, type ToldTubes, type TubesFacts, type TubesMove } from './tubes';

const told = (more: Partial<ToldTubes> = {}): ToldTubes => ({ contentsMinor: 80_00n, toTubesMinor: 300_00n, paidOutMinor: 250_00n, paidOutByHandMinor: 0n, filledMinor: 50_00n, ...more });
const now = (more: Partial<ToldTubes> = {}): ReadOut => ({ day: '2026-04-21', told: told({ contentsMinor: 95_00n, toTubesMinor: 340_00n, paidOutMinor: 285_00n, filledMinor: 60_00n, ...more }) });
const before: ReadOut = { day: '2026-04-07', told: told() };
const filled = (day: string, amountMinor = 10_00n): TubesMove => ({ kind: 'fund-filled', day, amountMinor });
const emptied = (day: string, amountMinor = 20_00n): TubesMove => ({ kind: 'fund-emptied', day, amountMinor });
const facts = (more: Partial<TubesFacts> = {}): TubesFacts => ({ now: now(), before, earlier: null, counted: { ...before, countedMinor: 80_00n }, moves: [filled('2026-04-10')], ...more });
const gapsOf = (more: Partial<TubesFacts>) => {
  const { contentsGapMinor, fillingsGapMinor, letOutGapMinor } = tubesOf(facts(more));
  return { tubes: contentsGapMinor, fillings: fillingsGapMinor, letOut: letOutGapMinor };
};
const none = { tubes: 0n, fillings: 0n, letOut: 0n };

// Counted at 80.00, 10.00 filled in; sales left 40.00 in the tubes and change took 35.00: 95.00.
test('what lies in the tubes is what the books have, and what sales left there less the change', () =>
  expect(tubesOf(facts())).toEqual({
    bookedMinor: 90_00n, keptMinor: 5_00n, expectedMinor: 95_00n, unknown: null,
    filled: { toldMinor: 10_00n, bookedMinor: 10_00n, differenceMinor: 0n }, letOut: { toldMinor: 0n, bookedMinor: 0n, differenceMinor: 0n },
    contentsGapMinor: 0n, fillingsGapMinor: 0n, letOutGapMinor: 0n,
  }));
test('coins that went out of the tubes unseen lack', () => expect(gapsOf({ now: now({ contentsMinor: 91_50n }) })).toEqual({ ...none, tubes: -3_50n }));

describe('coins let out by hand', () => {
  const after = now({ contentsMinor: 75_00n, paidOutByHandMinor: 20_00n });
  test('are no gap where the books have them', () => expect(gapsOf({ now: after, moves: [filled('2026-04-10'), emptied('2026-04-12')] })).toEqual(none));
  test('lack where the books have them nowhere, once', () => expect(gapsOf({ now: after })).toEqual({ ...none, letOut: -20_00n }));
  test('and others that are gone unseen are told apart', () => expect(gapsOf({ now: now({ contentsMinor: 71_50n, paidOutByHandMinor: 20_00n }) })).toEqual({ ...none, tubes: -3_50n, letOut: -20_00n }));
  test('that are booked and still lie there are over, once', () => expect(gapsOf({ moves: [filled('2026-04-10'), emptied('2026-04-12')] })).toEqual({ ...none, letOut: 20_00n }));
});

describe('a filling that the machine never saw', () => {
  const unseen = (contentsMinor: bigint) => now({ contentsMinor, filledMinor: 50_00n });
  test('is listed once where the coins are not there', () => expect(gapsOf({ now: unseen(85_00n) })).toEqual({ ...none, fillings: -10_00n }));
  test('is listed where the coins are there', () => expect(gapsOf({ now: unseen(95_00n) })).toEqual({ ...none, fillings: -10_00n }));
  test('says what else lacks beside it', () => expect(gapsOf({ now: unseen(81_50n) })).toEqual({ tubes: -3_50n, fillings: -10_00n, letOut: 0n }));
});

describe('a move on the day of a read-out', () => {
  const [sooner, later] = [now({ contentsMinor: 95_00n }), now({ contentsMinor: 85_00n, filledMinor: 50_00n })];
  test.each([['before it', sooner, 90_00n], ['after it', later, 80_00n]])('may have been %s', (_when, at, bookedMinor) => {
    expect(gapsOf({ now: at, moves: [filled('2026-04-21')] })).toEqual(none);
    expect(tubesOf(facts({ now: at, moves: [filled('2026-04-21')] })).bookedMinor).toBe(bookedMinor);
  });
  test('leaves the smallest gap where neither fits', () => expect(gapsOf({ now: now({ contentsMinor: 93_00n }), moves: [filled('2026-04-21')] })).toEqual({ ...none, tubes: -2_00n }));
  test('fits where some of several were before it', () =>
    expect(gapsOf({ now: now({ contentsMinor: 85_00n + 7_00n, filledMinor: 50_00n + 7_00n }), moves: [filled('2026-04-21', 4_00n), filled('2026-04-21', 7_00n), filled('2026-04-21', 9_00n)] })).toEqual(none));
  test.each([['before the count', 85_00n, 50_00n], ['after it', 95_00n, 60_00n]])('and of the count may have been %s', (_when, contentsMinor, filledMinor) =>
    expect(gapsOf({ now: now({ contentsMinor, filledMinor }), moves: [filled('2026-04-07')] })).toEqual(none));
  test('is missed at the next one if neither saw it', () => {
    const earlier: ReadOut = { day: '2026-03-31', told: told() };
    expect(gapsOf({ earlier, counted: 'never-counted', now: now({ filledMinor: 50_00n }), moves: [filled('2026-04-07')] })).toEqual({ ...none, tubes: null, fillings: -10_00n });
    expect(gapsOf({ earlier, counted: 'never-counted', now: now({ filledMinor: 60_00n }), moves: [filled('2026-04-07')] })).toEqual({ ...none, tubes: null });
    // The one before saw it: it is not looked for again.
    const seen: ReadOut = { day: '2026-03-31', told: told({ filledMinor: 40_00n }) };
    expect(gapsOf({ earlier: seen, counted: 'never-counted', now: now({ filledMinor: 50_00n }), moves: [filled('2026-04-07')] })).toEqual({ ...none, tubes: null });
  });
  test('may have been between two of one day', () => {
    const twice = { before: { ...before, day: '2026-04-21' }, counted: 'never-counted', moves: [filled('2026-04-21')] } as const;
    expect(gapsOf({ ...twice, now: now({ filledMinor: 60_00n }) })).toEqual({ ...none, tubes: null });
    expect(gapsOf({ ...twice, now: now({ filledMinor: 50_00n }) })).toEqual({ ...none, tubes: null });
  });
});

const count = { ...before, countedMinor: 80_00n };
test.each<[string, TubesFacts['counted'], Partial<ToldTubes>]>([
  ['never-counted', 'never-counted', {}],
  ['counted-apart', 'counted-apart', {}],
  ['not-read-out-when-counted', 'not-read-out-when-counted', {}],
  ['no-contents', count, { contentsMinor: null }],
  // Set up anew since: what it tells began again at nought.
  ['no-contents', count, { toTubesMinor: 2_00n }],
])('expects nothing where nobody knows what lay in the tubes (%s)', (unknown, counted, more) =>
  expect(tubesOf(facts({ counted, now: now(more) }))).toMatchObject({ expectedMinor: null, contentsGapMinor: null, unknown }));
test('says nothing of moves without a read-out before', () => expect(tubesOf(facts({ before: null }))).toMatchObject({ filled: null, letOut: null, fillingsGapMinor: null, letOutGapMinor: null }));
