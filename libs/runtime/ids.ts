import { createHash } from 'node:crypto';
import { UUID, uuidv7 } from 'uuidv7';

/** Makes ids; whoever needs one is given the maker, so that tests and the demo get the same ids every time. */
export type NewId = () => string;

/** UUID version 7 (RFC 9562): sorts by time of creation, and later ids of one process after earlier ones. */
export const newId: NewId = uuidv7;

/**
 * Ids for tests and for the demo: UUIDv7 again, but from a seed and a clock, so that two runs make the same ones.
 * Ids made within one millisecond of the clock keep their order.
 */
export function seededIds(options: { readonly seed: string; readonly now: () => Date }): NewId {
  let count = 0;
  return () => {
    count += 1;
    const bits = createHash('sha256').update(`${options.seed}/${count}`).digest();
    // rand_a and the upper rand_b carry the counter (RFC 9562 section 6.2, method 1), the lower rand_b the seed.
    const upper = Math.floor(count / 2 ** 18);
    const lower = (count % 2 ** 18) * 2 ** 12 + (bits.readUInt16BE(0) & 0xfff);
    return UUID.fromFieldsV7(options.now().getTime(), upper & 0xfff, lower, bits.readUInt32BE(2)).toString();
  };
}

export function isId(text: string): boolean {
  return /^[0-9a-f]{8}-[0-9a-f]{4}-[1-8][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/.test(text);
}
