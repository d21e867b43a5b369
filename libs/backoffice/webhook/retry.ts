import { createHash } from 'node:crypto';

const MINUTE_MS = 60_000;
/**
 * Minutes from one attempt to the next: eight attempts in a day. Soon at first, for a program that is being started anew; then so that somebody
 * can mend it in office hours.
 */
export const PAUSES_MINUTES = [1, 5, 30, 120, 240, 480, 540] as const;
/** A pause grows by up to a tenth, each delivery's by another part: what failed together does not come back together. */
const SPREAD = 0.1;
/** A receiver may ask for a longer pause, but not keep a delivery for ever. */
const LONGEST_ASKED_MS = 8 * 60 * MINUTE_MS;

export type Failed = {
  readonly deliveryId: string;
  /** Attempts since it was asked for, this one included. */
  readonly attempts: number;
  readonly at: Date;
  /** What the receiver asks for by `Retry-After`. */
  readonly retryAfterMs: number | null;
};

/** When a delivery is tried again; null when it is given up. The same for the same attempt, whoever asks. */
export function nextAttemptAt({ deliveryId, attempts, at, retryAfterMs }: Failed): Date | null {
  const minutes = PAUSES_MINUTES[attempts - 1];
  if (minutes === undefined) return null;
  const part = createHash('sha256').update(`${deliveryId}.${attempts}`, 'utf8').digest().readUInt16BE() / 0xffff;
  const pauseMs = minutes * MINUTE_MS * (1 + SPREAD * part);
  return new Date(at.getTime() + Math.trunc(Math.max(pauseMs, Math.min(retryAfterMs ?? 0, LONGEST_ASKED_MS))));
}

/** `Retry-After` (RFC 9110 section 10.2.3): seconds, or a day and time; null where it says nothing. */
export function retryAfterMs(header: string | undefined, now: Date): number | null {
  if (header === undefined) return null;
  if (/^\d{1,9}$/.test(header.trim())) return Number(header.trim()) * 1000;
  const until = Date.parse(header);
  return Number.isNaN(until) ? null : Math.max(0, until - now.getTime());
}
