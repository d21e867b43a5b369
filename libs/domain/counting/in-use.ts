/** Which coins and notes may lie in a box that is emptied on a day. */
import { addDays, type LocalDate } from '../calendar/local-date';

export interface InUse {
  /** First day on which it was money; null where that is longer ago than any book here. */
  readonly from: LocalDate | null;
  /** Last day on which it was money; null while it is. */
  readonly until: LocalDate | null;
}

/** A box may be emptied some time after a coin in it ceased to be money: a quarter of a year (common practice, no source). */
const DAYS_IN_A_BOX = 92;

/** Whether pieces of an issue may lie in a box of that day: from its first day on, up to some time after its last. */
export function mayLieInBox({ from, until }: InUse, day: LocalDate): boolean {
  return (from === null || from <= day) && (until === null || day <= addDays(until, DAYS_IN_A_BOX));
}
