import { createHash, createHmac, pbkdf2Sync, randomBytes } from 'node:crypto';

const ITERATIONS = 4096;

/**
 * The form in which PostgreSQL keeps a password (RFC 5803, `SCRAM-SHA-256$iterations:salt$StoredKey:ServerKey`).
 * Sent in place of the password itself, it keeps the secret out of the server's statement log and out of SQL that
 * an administrator is asked to run by hand.
 *
 * Only printable ASCII is taken: other characters would need the normalisation of RFC 4013 on both sides.
 */
export function scramVerifier(password: string): string {
  if (!/^[\x21-\x7e]{8,128}$/.test(password)) {
    throw new Error('A database password must be 8 to 128 printable ASCII characters without spaces.');
  }
  const salt = randomBytes(16);
  const { storedKey, serverKey } = scramKeys({ password, salt });
  return `SCRAM-SHA-256$${ITERATIONS}:${salt.toString('base64')}$${storedKey.toString('base64')}:${serverKey.toString('base64')}`;
}

/** StoredKey and ServerKey of RFC 5802 section 3, with SHA-256 (RFC 7677). */
export function scramKeys(secret: { readonly password: string; readonly salt: Buffer }): { storedKey: Buffer; serverKey: Buffer } {
  const salted = pbkdf2Sync(secret.password, secret.salt, ITERATIONS, 32, 'sha256');
  const keyFor = (label: string): Buffer => createHmac('sha256', salted).update(label).digest();
  return { storedKey: createHash('sha256').update(keyFor('Client Key')).digest(), serverKey: keyFor('Server Key') };
}
