import { createDecipheriv } from 'node:crypto';
import fc from 'fast-check';
import { keyIdOf, masterKeyFrom, newKeyBytes, open, seal, unwrapDataKey, wrapDataKey, type SecretKey } from './secrets-at-rest';

const tenantId = '0193a000-0000-7000-8000-000000000001';
const otherTenantId = '0193a000-0000-7000-8000-000000000002';
const key: SecretKey = { id: 'key-one', bytes: Buffer.alloc(32, 7) };
const purpose = 'signing key';

it('opens what it sealed, of any length', () => {
  fc.assert(
    fc.property(fc.uint8Array({ maxLength: 3000 }), (bytes) => {
      const plaintext = Buffer.from(bytes);
      const sealed = seal({ plaintext, key, tenantId, purpose });
      expect(open({ sealed, keys: [key], tenantId, purpose })).toEqual({ ok: true, value: plaintext });
    }),
  );
});

it('never gives the same bytes twice and never shows the secret', () => {
  const plaintext = Buffer.from('a private key in PEM form');
  const [one, other] = [seal({ plaintext, key, tenantId, purpose }), seal({ plaintext, key, tenantId, purpose })];
  expect(one.equals(other)).toBe(false);
  expect(one.includes(plaintext)).toBe(false);
});

it('is the layout that the documentation states, so that a program of its own could read it', () => {
  const sealed = seal({ plaintext: Buffer.from('secret'), key, tenantId: 't', purpose: 'p' });
  const idLength = sealed[1] ?? 0;
  expect([sealed[0], sealed.subarray(2, 2 + idLength).toString()]).toEqual([1, 'key-one']);
  const nonce = sealed.subarray(2 + idLength, 14 + idLength);
  const decipher = createDecipheriv('aes-256-gcm', key.bytes, nonce, { authTagLength: 16 });
  decipher.setAAD(
    Buffer.concat([
      Buffer.from([0, 0, 0, 9, 1, 7]),
      Buffer.from('key-one'),
      Buffer.from([0, 0, 0, 1]),
      Buffer.from('t'),
      Buffer.from([0, 0, 0, 1]),
      Buffer.from('p'),
    ]),
  );
  decipher.setAuthTag(sealed.subarray(-16));
  expect(Buffer.concat([decipher.update(sealed.subarray(14 + idLength, -16)), decipher.final()]).toString()).toBe('secret');
});

it('does not open for another operator, another purpose, or another key of the same id', () => {
  const sealed = seal({ plaintext: Buffer.from('secret'), key, tenantId, purpose });
  const damaged = { ok: false, reason: 'damaged' };
  expect(open({ sealed, keys: [key], tenantId: otherTenantId, purpose })).toEqual(damaged);
  expect(open({ sealed, keys: [key], tenantId, purpose: 'second factor' })).toEqual(damaged);
  expect(open({ sealed, keys: [{ id: key.id, bytes: Buffer.alloc(32, 8) }], tenantId, purpose })).toEqual(damaged);
  // Operator and purpose must not run into each other.
  const shifted = seal({ plaintext: Buffer.from('secret'), key, tenantId: 'ab', purpose: 'c' });
  expect(open({ sealed: shifted, keys: [key], tenantId: 'a', purpose: 'bc' })).toEqual(damaged);
});

it('notices a change of any single bit and any cut', () => {
  const sealed = seal({ plaintext: Buffer.from('secret'), key, tenantId, purpose });
  for (let bit = 0; bit < sealed.length * 8; bit++) {
    const changed = Buffer.from(sealed);
    changed[bit >> 3] = (changed[bit >> 3] ?? 0) ^ (1 << (bit & 7));
    expect(open({ sealed: changed, keys: [key], tenantId, purpose }).ok).toBe(false);
  }
  for (let length = 0; length < sealed.length; length++) {
    expect(open({ sealed: sealed.subarray(0, length), keys: [key], tenantId, purpose }).ok).toBe(false);
  }
});

it('names the key that is missing', () => {
  const sealed = seal({ plaintext: Buffer.from('secret'), key, tenantId, purpose });
  expect(open({ sealed, keys: [], tenantId, purpose })).toEqual({ ok: false, reason: 'unknown-key', keyId: 'key-one' });
  expect(keyIdOf(sealed)).toBe('key-one');
  expect(keyIdOf(Buffer.from('not sealed'))).toBeUndefined();
});

it('wraps a data key, and takes it over to a new master key without touching what it sealed', () => {
  const [oldMaster, newMaster] = [masterKeyFrom(newKeyBytes()), masterKeyFrom(newKeyBytes())];
  const dataKey = newKeyBytes();
  const sealed = seal({ plaintext: Buffer.from('secret'), key: { id: 'data-1', bytes: dataKey }, tenantId, purpose });

  const wrapped = wrapDataKey({ dataKey, masterKey: oldMaster, tenantId });
  expect(keyIdOf(wrapped)).toBe(oldMaster.id);
  const unwrapped = unwrapDataKey({ wrapped, masterKeys: [newMaster, oldMaster], tenantId });
  if (!unwrapped.ok) throw new Error(unwrapped.reason);
  const wrappedAgain = wrapDataKey({ dataKey: unwrapped.value, masterKey: newMaster, tenantId });
  expect(unwrapDataKey({ wrapped: wrappedAgain, masterKeys: [newMaster], tenantId })).toEqual({ ok: true, value: dataKey });
  expect(open({ sealed, keys: [{ id: 'data-1', bytes: dataKey }], tenantId, purpose }).ok).toBe(true);
  expect(unwrapDataKey({ wrapped, masterKeys: [oldMaster], tenantId: otherTenantId })).toEqual({ ok: false, reason: 'damaged' });
});

it('refuses keys of the wrong length', () => {
  expect(() => masterKeyFrom(Buffer.alloc(16))).toThrow('32 bytes');
  expect(() => wrapDataKey({ dataKey: Buffer.alloc(31), masterKey: masterKeyFrom(newKeyBytes()), tenantId })).toThrow('32 bytes');
});
