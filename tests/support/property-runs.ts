/** How often properties of the money path are tried, and with which seed: CASES and SEED say, by hand or for a long run. */
import fc from 'fast-check';

/** Over all files of tests/properties/settlement-* and allocation: some seconds' worth unless CASES asks for more. */
const casesInTotal = Number(process.env['CASES'] ?? 3000);

/** Each file draws its own and prints it, so that SEED repeats a run. */
const givenSeed = process.env['SEED'] === undefined ? undefined : Number(process.env['SEED']);
const drawnSeed = Math.trunc(Math.random() * 2 ** 31);

let casesTried = 0;
const seeds = new Set<number>();

export interface Trial {
  /** Which part of all cases this property gets, in thousandths; over all properties they make about a thousand. */
  readonly thousandths: number;
  /** Where the sample must be the same in every run, unless SEED says otherwise. */
  readonly fixedSeed?: number;
  /** Cases below which the answer would be chance, however few were asked for. */
  readonly atLeast?: number;
}

/** The number of cases of a property. */
export function casesOf({ thousandths, atLeast = 1 }: Trial): number {
  return Math.max(atLeast, Math.ceil((casesInTotal * thousandths) / 1000));
}

/** Tries a property that many times; throws with seed and path where it does not hold. */
export function holds<Arguments>(property: fc.IProperty<Arguments>, trial: Trial): void {
  const numRuns = casesOf(trial);
  const seed = givenSeed ?? trial.fixedSeed ?? drawnSeed;
  seeds.add(seed);
  casesTried += numRuns;
  fc.assert(property, { numRuns, seed });
}

afterAll(() => {
  process.stdout.write(`${casesTried} cases with SEED=${[...seeds].join(', ')}\n`);
});

/** Prints how often each of several things happened, and refuses what happened in fewer than 2 % of the cases. */
export function printReach(reach: ReadonlyMap<string, number>, cases: number): void {
  const table = [...reach].map(([name, times]) => ({ name, percent: (times * 100) / cases }));
  process.stdout.write(`${table.map(({ name, percent }) => `${percent.toFixed(1).padStart(6)} %  ${name}`).join('\n')}\n`);
  expect(table.filter(({ percent }) => percent < 2)).toEqual([]);
}
