import fc from 'fast-check';
import { associationsOf, type HolderMachines } from './attribution';

const row = (personId: string, held: [number, number], every: [number, number], machines = 1): HolderMachines => ({
  personId,
  machines,
  held: { short: held[0], all: held[1] },
  every: { short: every[0], all: every[1] },
});

test('the same machines with and without the person, by the exact test', () => {
  // Fisher's tea: 3 of 4 against 1 of 4, two-sided 17/35.
  const { compared } = associationsOf([row('a', [3, 4], [4, 8])]);
  expect(compared).toHaveLength(1);
  expect(compared[0]).toMatchObject({ held: { short: 3, all: 4 }, notHeld: { short: 1, all: 4 }, withinMachines: { machines: 1 } });
  expect(compared[0]?.chance).toBeCloseTo(17 / 35, 9);
  expect(compared[0]?.correctedChance).toBe(compared[0]?.chance);
  expect(compared[0]?.withinMachines.chance).toBeCloseTo(17 / 35, 9);
});

test('asking it of several people makes each answer weaker, and who cannot be compared does not count', () => {
  const { compared, alwaysHeld } = associationsOf([row('much', [9, 10], [10, 40]), row('little', [1, 10], [10, 40]), row('always', [10, 40], [10, 40])]);
  expect(compared.map(({ personId }) => personId)).toEqual(['much', 'little']);
  expect(compared[0]?.correctedChance).toBeCloseTo((compared[0]?.chance ?? 0) * 2, 12);
  expect(compared[1]?.chance).toBeGreaterThan(0.05);
  expect(alwaysHeld).toEqual([{ personId: 'always', held: { short: 10, all: 40 } }]);
  expect(associationsOf([])).toEqual({ compared: [], alwaysHeld: [] });
});

test('who holds the keys of the bad machines longer is not stained by them: within machines nothing is left', () => {
  // Half of the intervals of one machine end short whoever holds its key, none of the other's.
  const { compared } = associationsOf([row('a', [9, 18], [10, 20]), row('a', [0, 2], [0, 20])]);
  expect(compared[0]).toMatchObject({ held: { short: 9, all: 20 }, notHeld: { short: 1, all: 20 }, withinMachines: { machines: 2, chance: 1 } });
  expect(compared[0]?.chance).toBeLessThan(0.01);
});

test('machines with the same numbers count each', () => {
  const { compared } = associationsOf([row('a', [2, 3], [3, 8], 5)]);
  const apart = associationsOf([1, 2, 3, 4, 5].map(() => row('a', [2, 3], [3, 8])));
  expect(compared).toEqual(apart.compared);
  expect(compared[0]).toMatchObject({ held: { short: 10, all: 15 }, notHeld: { short: 5, all: 25 }, withinMachines: { machines: 5 } });
});

test('chances lie between 0 and 1, and correcting never makes one smaller', () => {
  const machine = fc
    .record({ personId: fc.constantFrom('a', 'b', 'c'), heldShort: fc.nat(6), heldNot: fc.nat(6), elseShort: fc.nat(6), elseNot: fc.nat(6), machines: fc.integer({ min: 1, max: 3 }) })
    .filter(({ heldShort, heldNot }) => heldShort + heldNot > 0)
    .map((each) => row(each.personId, [each.heldShort, each.heldShort + each.heldNot], [each.heldShort + each.elseShort, each.heldShort + each.heldNot + each.elseShort + each.elseNot], each.machines));
  fc.assert(
    fc.property(fc.array(machine, { maxLength: 8 }), (rows) => {
      for (const { chance, correctedChance, withinMachines } of associationsOf(rows).compared) {
        expect(chance).toBeGreaterThan(0);
        expect(correctedChance).toBeGreaterThanOrEqual(chance);
        expect(correctedChance).toBeLessThanOrEqual(1);
        expect(withinMachines.chance).toBeGreaterThan(0);
        expect(withinMachines.correctedChance).toBeGreaterThanOrEqual(withinMachines.chance);
        expect(withinMachines.correctedChance).toBeLessThanOrEqual(1);
      }
    }),
    { numRuns: 200 },
  );
});
