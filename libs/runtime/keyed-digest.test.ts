import { createHash, createHmac } from 'node:crypto';
import { keyedDigestsUnder } from './keyed-digest';
import { masterKeyFrom } from './secrets-at-rest';

const [older, newer] = [masterKeyFrom(Buffer.alloc(32, 1)), masterKeyFrom(Buffer.alloc(32, 2))];
const hex = (digests: readonly Buffer[]): string[] => digests.map((digest) => digest.toString('hex'));

it('gives one text one digest, and another text another one', () => {
  const digests = keyedDigestsUnder([older]);
  expect(hex(digests('12345678'))).toEqual(hex(digests('12345678')));
  expect(hex(digests('12345678'))).not.toEqual(hex(digests('12345679')));
  expect(digests('').map(({ length }) => length)).toEqual([32]);
});

it('is made of no digest that one could guess without the key, and not under the master key itself', () => {
  const [digest] = hex(keyedDigestsUnder([older])('12345678'));
  expect(digest).not.toBe(createHash('sha256').update('12345678').digest('hex'));
  expect(digest).not.toBe(createHmac('sha256', older.bytes).update('12345678').digest('hex'));
  // HKDF (RFC 5869) written out: extract under an empty salt, expand by one block.
  const extracted = createHmac('sha256', Buffer.alloc(0)).update(older.bytes).digest();
  const key = createHmac('sha256', extracted).update('latchledger request digest').update(Buffer.from([1])).digest();
  expect(digest).toBe(createHmac('sha256', key).update('12345678').digest('hex'));
});

it('knows again what was kept under a master key that was replaced', () => {
  const [before] = hex(keyedDigestsUnder([older])('12345678'));
  const [present, replaced] = hex(keyedDigestsUnder([newer, older])('12345678'));
  expect(replaced).toBe(before);
  expect(present).not.toBe(before);
});
