import { tubesOf, type ToldTubes, type TubesFacts } from './tubes';

const told = (more: Partial<ToldTubes> = {}): ToldTubes => ({ contentsMinor: 80_00n, toTubesMinor: 300_00n, paidOutMinor: 250_00n, paidOutByHandMinor: 0n, filledMinor: 50_00n, ...more });
const facts = (more: Partial<TubesFacts> = {}): TubesFacts => ({ now: told({ contentsMinor: 95_00n, toTubesMinor: 340_00n, paidOutMinor: 285_00n, filledMinor: 60_00n }), before: { told: told(), filledMinor: 10_00n }, bookedMinor: 90_00n, counted: told(), ...more });

// Counted at 80.00, 10.00 filled in; sales left 40.00 in the tubes and change took 35.00: 95.00.
test('what lies in the tubes is what the books have, and what sales left there less the change', () =>
  expect(tubesOf(facts())).toEqual({ keptMinor: 5_00n, expectedMinor: 95_00n, unknown: null, filledToldMinor: 10_00n, contentsGapMinor: 0n, fillingsGapMinor: 0n }));
test('coins that went out of the tubes unseen lack', () =>
  expect(tubesOf(facts({ now: told({ contentsMinor: 91_50n, toTubesMinor: 340_00n, paidOutMinor: 285_00n, filledMinor: 60_00n }) })).contentsGapMinor).toBe(-3_50n));
test('coins let out by hand are no gap, and a filling that the machine never saw is', () => {
  const now = told({ contentsMinor: 65_00n, toTubesMinor: 340_00n, paidOutMinor: 285_00n, paidOutByHandMinor: 20_00n, filledMinor: 50_00n });
  expect(tubesOf(facts({ now }))).toMatchObject({ keptMinor: -15_00n, fillingsGapMinor: -10_00n, contentsGapMinor: -10_00n });
});
test.each<[TubesFacts['counted'], Partial<ToldTubes>, string]>([
  ['never', {}, 'never-counted'],
  ['not-read-out', {}, 'not-read-out-when-counted'],
  [told(), { contentsMinor: null }, 'no-contents'],
  // Set up anew since: what it tells began again at nought.
  [told(), { toTubesMinor: 2_00n }, 'no-contents'],
])('expects nothing where nobody knows what lay in the tubes (%s)', (counted, more, unknown) =>
  expect(tubesOf(facts({ counted, now: told(more) }))).toMatchObject({ expectedMinor: null, contentsGapMinor: null, unknown }));
test('says nothing of fillings without a read-out before', () => expect(tubesOf(facts({ before: null }))).toMatchObject({ filledToldMinor: null, fillingsGapMinor: null }));
