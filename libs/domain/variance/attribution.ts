/**
 * Whether boxes are short more often while somebody holds a key to them: association and nothing more. The same machines are
 * compared with and without that person's custody, so that a bad site does not stain everybody who ever had its key.
 */
import { chanceAsNumber, exactTest, exactTestWithin, holm, type FourFold } from '#domain/variance/exact-test';

/** Intervals between two times that a box was emptied, and how many of them ended short. Whole numbers. */
export interface Intervals {
  readonly short: number;
  readonly all: number;
}

/** Machines that have the same numbers for one person. */
export interface HolderMachines {
  readonly personId: string;
  readonly machines: number;
  /** Of each machine: intervals during which the person held a fitting key, for any time. At least one. */
  readonly held: Intervals;
  /** Of each machine: all intervals, those held among them. */
  readonly every: Intervals;
}

export interface Association {
  readonly personId: string;
  readonly held: Intervals;
  readonly notHeld: Intervals;
  /** Chance of figures no more likely than these if custody and shortage had nothing to do with each other. */
  readonly chance: number;
  /** The same, corrected for the number of people that it is asked of. */
  readonly correctedChance: number;
  /**
   * Each machine compared with itself alone, which leaves out that machines differ. Where this says less than the chance
   * over all, it is the machines that differ, not the person.
   */
  readonly withinMachines: { readonly machines: number; readonly chance: number; readonly correctedChance: number };
}

export interface Associations {
  /** More often short with the person than without, the least likely first; then the others, the least likely last. */
  readonly compared: readonly Association[];
  /** Who held a key during every interval: there is nothing to compare with, and they do not count for the correction. */
  readonly alwaysHeld: readonly { readonly personId: string; readonly held: Intervals }[];
}

export function associationsOf(rows: readonly HolderMachines[]): Associations {
  const byPerson = new Map<string, HolderMachines[]>();
  for (const row of rows) byPerson.set(row.personId, [...(byPerson.get(row.personId) ?? []), row]);
  const people = [...byPerson].map(([personId, own]) => ({ personId, own, held: sumOf(own, ({ held }) => held), notHeld: sumOf(own, notHeldOf) }));
  const comparable = people
    .filter(({ notHeld }) => notHeld.all > 0)
    .map((person) => {
      const both = person.own.filter((row) => notHeldOf(row).all > 0);
      return {
        ...person,
        chance: chanceAsNumber(exactTest(foldOf(person))),
        machines: both.reduce((sum, { machines }) => sum + machines, 0),
        withinChance: exactTestWithin(both.map((row) => ({ times: row.machines, ...foldOf({ held: row.held, notHeld: notHeldOf(row) }) }))),
      };
    });
  const corrected = holm(comparable.map(({ chance }) => chance));
  const correctedWithin = holm(comparable.map(({ withinChance }) => withinChance));
  return {
    compared: comparable
      .map(({ personId, held, notHeld, chance, machines, withinChance }, place) => ({
        personId,
        held,
        notHeld,
        chance,
        correctedChance: corrected[place] ?? 1,
        withinMachines: { machines, chance: withinChance, correctedChance: correctedWithin[place] ?? 1 },
      }))
      .sort((left, right) => placeOf(left) - placeOf(right) || (left.personId < right.personId ? -1 : 1)),
    alwaysHeld: people.filter(({ notHeld }) => notHeld.all === 0).map(({ personId, held }) => ({ personId, held })),
  };
}

function placeOf({ held, notHeld, chance }: Pick<Association, 'held' | 'notHeld' | 'chance'>): number {
  return held.short * notHeld.all > notHeld.short * held.all ? chance : 2 - chance;
}

function notHeldOf({ every, held }: HolderMachines): Intervals {
  return { short: every.short - held.short, all: every.all - held.all };
}

function sumOf(rows: readonly HolderMachines[], pick: (row: HolderMachines) => Intervals): Intervals {
  return rows.reduce((sum, row) => ({ short: sum.short + row.machines * pick(row).short, all: sum.all + row.machines * pick(row).all }), { short: 0, all: 0 });
}

function foldOf({ held, notHeld }: { readonly held: Intervals; readonly notHeld: Intervals }): FourFold {
  return {
    first: { withTrait: held.short, without: held.all - held.short },
    second: { withTrait: notHeld.short, without: notHeld.all - notHeld.short },
  };
}
