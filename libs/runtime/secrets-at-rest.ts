import { createCipheriv, createDecipheriv, createHash, randomBytes } from 'node:crypto';

/**
 * Envelope encryption of the few secrets that must be read back: private signing keys and second-factor secrets.
 * A master key, which lives in a file and never in the database, wraps one data key per operator; the data key seals
 * the secrets. Taking the database alone therefore gives nothing, and a new master key means wrapping the data keys
 * again, not touching the secrets.
 *
 * Layout of everything sealed, for AES-256-GCM (NIST SP 800-38D):
 *
 *   version (1 byte, = 1) | length of key id (1 byte) | key id (UTF-8) | nonce (12 bytes) | ciphertext | tag (16 bytes)
 *
 * Version and key id are authenticated together with the operator and the purpose, so a sealed value that is copied
 * to another operator's row, or to another column, does not open there.
 */
export type SecretKey = { readonly id: string; readonly bytes: Buffer };

/** Who a sealed value belongs to and what it is for. */
export type SealedFor = { readonly tenantId: string; readonly purpose: string };

/** Whose the secrets of an account are: they belong to no operator, since an account may serve several. */
export function sealedForAccount({ accountId, purpose }: { accountId: string; purpose: string }): SealedFor {
  return { tenantId: `account:${accountId}`, purpose };
}

export type Opened =
  | { readonly ok: true; readonly value: Buffer }
  /** `unknown-key`: sealed under a key that is not at hand; `damaged`: changed, cut, or sealed for something else. */
  | { readonly ok: false; readonly reason: 'unknown-key'; readonly keyId: string }
  | { readonly ok: false; readonly reason: 'damaged' };

const VERSION = 1;
const KEY_BYTES = 32;
/** Random 96-bit nonces are safe for 2^32 values under one key (SP 800-38D section 8.3); an operator seals some dozens. */
const NONCE_BYTES = 12;
const TAG_BYTES = 16;
const DATA_KEY_PURPOSE = 'data key';

/** A master key; its id is derived from it, so that the file holds nothing but the key. */
export function masterKeyFrom(bytes: Buffer): SecretKey {
  requireKeyLength(bytes);
  const digest = createHash('sha256').update('latchledger master key id\0').update(bytes).digest('hex');
  return { id: digest.slice(0, 16), bytes };
}

/** 32 random bytes: a new data key, or a new master key. */
export function newKeyBytes(): Buffer {
  return randomBytes(KEY_BYTES);
}

export function wrapDataKey(parts: { dataKey: Buffer; masterKey: SecretKey; tenantId: string }): Buffer {
  requireKeyLength(parts.dataKey);
  return seal({ plaintext: parts.dataKey, key: parts.masterKey, tenantId: parts.tenantId, purpose: DATA_KEY_PURPOSE });
}

/** `masterKeys`: the present one and those it replaced, in any order. */
export function unwrapDataKey(parts: { wrapped: Buffer; masterKeys: readonly SecretKey[]; tenantId: string }): Opened {
  return open({ sealed: parts.wrapped, keys: parts.masterKeys, tenantId: parts.tenantId, purpose: DATA_KEY_PURPOSE });
}

export function seal(parts: { plaintext: Buffer; key: SecretKey } & SealedFor): Buffer {
  const header = headerFor(parts.key.id);
  const nonce = randomBytes(NONCE_BYTES);
  const cipher = createCipheriv('aes-256-gcm', parts.key.bytes, nonce, { authTagLength: TAG_BYTES });
  cipher.setAAD(associatedData(header, parts));
  const ciphertext = Buffer.concat([cipher.update(parts.plaintext), cipher.final()]);
  return Buffer.concat([header, nonce, ciphertext, cipher.getAuthTag()]);
}

export function open(parts: { sealed: Buffer; keys: readonly SecretKey[] } & SealedFor): Opened {
  const keyId = keyIdOf(parts.sealed);
  if (keyId === undefined) return { ok: false, reason: 'damaged' };
  const key = parts.keys.find(({ id }) => id === keyId);
  if (!key) return { ok: false, reason: 'unknown-key', keyId };

  const header = headerFor(keyId);
  const nonceEnd = header.length + NONCE_BYTES;
  const tagStart = parts.sealed.length - TAG_BYTES;
  const decipher = createDecipheriv('aes-256-gcm', key.bytes, parts.sealed.subarray(header.length, nonceEnd), {
    authTagLength: TAG_BYTES,
  });
  decipher.setAAD(associatedData(header, parts));
  decipher.setAuthTag(parts.sealed.subarray(tagStart));
  try {
    return { ok: true, value: Buffer.concat([decipher.update(parts.sealed.subarray(nonceEnd, tagStart)), decipher.final()]) };
  } catch {
    return { ok: false, reason: 'damaged' };
  }
}

/** The id of the key that a value was sealed under: what must be wrapped again after a rotation. `undefined`: no sealed value. */
export function keyIdOf(sealed: Buffer): string | undefined {
  if (sealed[0] !== VERSION) return undefined;
  const idEnd = 2 + (sealed[1] ?? 0);
  if (sealed.length < idEnd + NONCE_BYTES + TAG_BYTES) return undefined;
  return sealed.subarray(2, idEnd).toString('utf8');
}

function headerFor(keyId: string): Buffer {
  const id = Buffer.from(keyId, 'utf8');
  if (id.length === 0 || id.length > 255) throw new Error('a key id has 1 to 255 bytes');
  return Buffer.concat([Buffer.from([VERSION, id.length]), id]);
}

/** Each part with its length before it, so that no two different pairs give the same bytes. */
function associatedData(header: Buffer, { tenantId, purpose }: SealedFor): Buffer {
  const parts = [header, Buffer.from(tenantId, 'utf8'), Buffer.from(purpose, 'utf8')];
  return Buffer.concat(
    parts.flatMap((part) => {
      const length = Buffer.alloc(4);
      length.writeUInt32BE(part.length);
      return [length, part];
    }),
  );
}

function requireKeyLength(bytes: Buffer): void {
  if (bytes.length !== KEY_BYTES) throw new Error(`a key has ${KEY_BYTES} bytes, not ${bytes.length}`);
}
