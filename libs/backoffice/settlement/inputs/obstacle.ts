import { dayInWords, daysInWords, daysOf } from '#contracts/day-in-words';
import { bodyField, refused, type Outcome } from '#contracts/outcome';
import type { FieldError } from '#contracts/problem';
import type { UntoldBox } from '#contracts/untold-box';
import type { TargetRow } from './targets.sql';

/**
 * Why a period cannot be settled now. Each is for people to mend; the period is settled afterwards, on its own.
 */
export const obstacles = {
  'collections-not-accepted': 'A collection of the period is counted and not accepted yet.',
  'earlier-settlement-open': 'The settlement of an earlier period has no number yet: what it carries on is not certain.',
  'earlier-settlement-reversed': 'The settlement of an earlier period was reversed and not made anew. Settle that period first.',
  'earlier-takings-unsettled': 'Takings of an earlier period are not settled yet. Close that period first.',
  'later-period-numbered': 'A later period has its number already, so this one can only be settled as a late change.',
  'terms-missing': 'No terms are in force during the period.',
  'cannot-be-computed': 'The figures cannot be computed from what is recorded.',
} as const;

export type ObstacleCode = keyof typeof obstacles;

/** `day`: what it is about, ISO 8601, where that is a day. `boxes`: those whose meters cannot tell what they imply, where that is why; `collectionIds`: their collections. */
export type Obstacle = { readonly code: ObstacleCode; readonly message: string; readonly day?: string; readonly boxes?: readonly UntoldBox[]; readonly collectionIds?: readonly string[] };

/** `about` says what is special about this one: a day, an id. */
export function obstacle(code: ObstacleCode, about?: string): Obstacle {
  const [day] = daysOf(about ?? '');
  return { code, message: about === undefined ? obstacles[code] : `${obstacles[code]} (${daysInWords(about)})`, ...(day === about && day !== undefined ? { day } : {}) };
}

/** The obstacle by its code, which the console says in its reader's language. */
const errorOf = ({ code, message, day }: Obstacle): FieldError => ({ ...bodyField([]), code, message, ...(day === undefined ? {} : { values: { day } }) });

/** The same, and each box for which it waits, with the ids by which a program leads to it. */
export const errorsOf = (found: Obstacle): FieldError[] => [errorOf(found), ...(found.boxes ?? []).map(errorOfBox)];

const errorOfBox = ({ machineTag, machineId, siteCode, localDate, collectionId, why }: UntoldBox): FieldError => ({
  ...bodyField([]),
  code: 'box-untold',
  message: `The meters of ${machineTag} at ${siteCode} on ${dayInWords(localDate)} cannot tell what they imply.`,
  values: { machine: machineTag, site: siteCode, day: localDate, collectionId, ...(why.includes('not-recorded') ? {} : { machineId }) },
});

export const refusedBy = (found: Obstacle): Outcome<never> => refused('cannot-be-settled', { detail: found.message, errors: errorsOf(found) });

/** What stands in the way of settling a period, as far as its surroundings show; in order of what to mend first. */
export function obstacleTo(target: TargetRow, hasTerms: boolean): Obstacle | undefined {
  if (target.later_starts_on !== null) return obstacle('later-period-numbered', target.later_starts_on);
  if (target.unnumbered_starts_on !== null) return obstacle('earlier-settlement-open', target.unnumbered_starts_on);
  if (target.reversed_starts_on !== null) return obstacle('earlier-settlement-reversed', target.reversed_starts_on);
  if (target.unsettled_on !== null) return obstacle('earlier-takings-unsettled', target.unsettled_on);
  if (target.unaccepted_on !== null) return obstacle('collections-not-accepted', target.unaccepted_on);
  return hasTerms ? undefined : obstacle('terms-missing');
}
