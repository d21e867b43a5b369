import { createHmac, hkdfSync } from 'node:crypto';
import type { MasterKeys } from './master-key-file';

/** What the key is made for (RFC 5869, section 3.2): the master key itself does nothing but seal. */
const PURPOSE = 'latchledger request digest';
const KEY_BYTES = 32;

/** Digests of one text, each of 32 bytes: the one to keep first, then those under which it may have been kept before. */
export type KeyedDigests = readonly [Buffer, ...Buffer[]];

/**
 * Tells whether two texts are the same without keeping either. HMAC-SHA-256 (RFC 2104) under a key that is made from the master
 * key: an account number has so few digits that whoever holds a copy of the database would find it from a digest without a key.
 * Under every master key at hand, so that what was kept under one that has been replaced is still known again.
 */
export function keyedDigestsUnder(masterKeys: MasterKeys): (text: string) => KeyedDigests {
  const keyFrom = (bytes: Buffer): Buffer => Buffer.from(hkdfSync('sha256', bytes, Buffer.alloc(0), PURPOSE, KEY_BYTES));
  const [present, ...replaced] = masterKeys.map(({ bytes }) => keyFrom(bytes));
  if (present === undefined) throw new Error('there is no master key');
  const digest = (key: Buffer, text: string): Buffer => createHmac('sha256', key).update(text).digest();
  return (text) => [digest(present, text), ...replaced.map((key) => digest(key, text))];
}
