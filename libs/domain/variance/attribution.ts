/**
 * Whether boxes are short more often while somebody holds a key to them: association and nothing more. The same machines are
 * compared with and without that person's custody, so that a bad site does not stain everybody who ever had its key.
 */
import { chanceAsNumber, exactTest, holm } from '#domain/variance/exact-test';

export interface HolderIntervals {
  readonly personId: string;
  /** Intervals between two counts during which the person held a fitting key, and how many of them ended short. */
  readonly held: { readonly short: number; readonly intervals: number };
  /** All intervals of the same machines, those held among them. */
  readonly all: { readonly short: number; readonly intervals: number };
}

export interface Association {
  readonly personId: string;
  readonly held: { readonly short: number; readonly notShort: number };
  readonly notHeld: { readonly short: number; readonly notShort: number };
  /** Chance of figures no more likely than these if custody and shortage had nothing to do with each other. */
  readonly chance: number;
  /** The same, corrected for the number of people that it is asked of. */
  readonly correctedChance: number;
}

/** Only people with intervals of both kinds can be compared; only they count for the correction. The least likely first. */
export function associationsOf(holders: readonly HolderIntervals[]): Association[] {
  const compared = holders.flatMap(({ personId, held, all }) => {
    const notHeldIntervals = all.intervals - held.intervals;
    if (held.intervals === 0 || notHeldIntervals === 0) return [];
    const figures = {
      held: { short: held.short, notShort: held.intervals - held.short },
      notHeld: { short: all.short - held.short, notShort: notHeldIntervals - (all.short - held.short) },
    };
    const chance = chanceAsNumber(
      exactTest({
        first: { withTrait: figures.held.short, without: figures.held.notShort },
        second: { withTrait: figures.notHeld.short, without: figures.notHeld.notShort },
      }),
    );
    return [{ personId, ...figures, chance }];
  });
  const corrected = holm(compared.map(({ chance }) => chance));
  return compared
    .map((each, place) => ({ ...each, correctedChance: corrected[place] ?? 1 }))
    .sort((left, right) => left.chance - right.chance || (left.personId < right.personId ? -1 : 1));
}
