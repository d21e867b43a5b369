/** How long statements wait for a stamp. */
export const PATIENCE_MS = 24 * 3600 * 1000;

/** Until when statements wait for an authority that has given no stamp since a moment: long enough for whoever runs it to mend it, short enough that a month end does not hang unseen. */
export function endOfPatience(since: Date): Date {
  return new Date(since.getTime() + PATIENCE_MS);
}
