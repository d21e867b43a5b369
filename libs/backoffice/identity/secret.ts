import { createHash, randomBytes } from 'node:crypto';

/**
 * A random secret of 256 bits, as text for a cookie, header or link, and the hash that is stored in its place. There is
 * nothing to guess in 256 random bits, so a fast hash keeps it as well as a slow one would.
 */
export function newSecret(prefix = ''): { text: string; hash: Buffer } {
  const text = prefix + randomBytes(32).toString('base64url');
  return { text, hash: hashSecret(text) };
}

export function hashSecret(text: string): Buffer {
  return createHash('sha256').update(text, 'utf8').digest();
}

/** What sign-in looks accounts up by. Upper and lower case of an address mean the same person. */
export function hashEmail(email: string): Buffer {
  return createHash('sha256').update(normaliseEmail(email), 'utf8').digest();
}

export function normaliseEmail(email: string): string {
  return email.trim().toLowerCase();
}
