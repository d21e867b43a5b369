import { done, refusedFields, type Outcome } from '#contracts/outcome';

/** Clocks of phones, desks and machines run ahead of ours by seconds; what they say of a moment that far ahead has happened. */
export const CLOCK_TOLERANCE_MS = 5 * 60 * 1000;

/**
 * When something was so: what the request says, the present when it says nothing, never what has not happened yet.
 * A moment that only a fast clock puts ahead of ours is the present.
 */
export function momentOf(text: string | undefined, at: { readonly now: Date; readonly field: string }): Outcome<Date> {
  if (text === undefined) return done(at.now);
  const moment = new Date(text);
  if (moment.getTime() > at.now.getTime() + CLOCK_TOLERANCE_MS) return refusedFields('invalid-command', [{ path: [at.field], code: 'in-future', message: 'What has not happened yet is not recorded.' }]);
  return done(moment > at.now ? at.now : moment);
}
