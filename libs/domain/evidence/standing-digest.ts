/** By what a statement is asked about once it is out of the house, without saying which settlement it is or what is in it. */
import { sha256 } from '@noble/hashes/sha2';
import { concatBytes, utf8ToBytes } from '@noble/hashes/utils';

/** Keeps this digest apart from every other use of SHA-256 over the same bytes. */
const PURPOSE = utf8ToBytes('statement standing\n');

/**
 * SHA-256 over purpose, salt and the settlement's digest. The salt of 16 random bytes stands in the statement alone: who
 * knows a settlement and its digest from elsewhere can still not ask about it, nor find one by trying.
 */
export function standingDigest({ salt, settlementDigest }: { readonly salt: Uint8Array; readonly settlementDigest: Uint8Array }): Uint8Array {
  return sha256(concatBytes(PURPOSE, salt, settlementDigest));
}
