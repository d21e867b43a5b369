import { decodeLeaf, encodeLeaf, type SettlementNumbered } from '#domain/evidence/leaf';
import { leafHash } from '#domain/evidence/merkle';

const SALT = Uint8Array.from({ length: 16 }, (_, index) => index);
const ENTRY: SettlementNumbered = {
  format: 1,
  kind: 'settlement-numbered',
  settlementId: '0197a1c0-0000-7000-8000-000000000001',
  agreementId: '0197a1c0-0000-7000-8000-000000000002',
  siteId: '0197a1c0-0000-7000-8000-000000000003',
  statementNumber: '2025-000017',
  periodStart: '2025-05-01',
  periodEnd: '2025-05-31',
  engineVersion: '1',
  settlementDigest: 'ab'.repeat(32),
  numberedBy: '0197a1c0-0000-7000-8000-000000000004',
  recordedAt: '2025-06-02T09:30:00+02:00',
};

describe('a leaf', () => {
  it('keeps its frozen bytes', () => {
    const bytes = encodeLeaf({ salt: SALT, entry: ENTRY });
    expect(Buffer.from(bytes.subarray(0, 16)).toString('hex')).toBe('000102030405060708090a0b0c0d0e0f');
    expect(Buffer.from(bytes.subarray(16)).toString('utf8')).toBe(
      '{"agreementId":"0197a1c0-0000-7000-8000-000000000002","engineVersion":"1","format":1,"kind":"settlement-numbered",' +
        '"numberedBy":"0197a1c0-0000-7000-8000-000000000004","periodEnd":"2025-05-31","periodStart":"2025-05-01",' +
        '"recordedAt":"2025-06-02T09:30:00+02:00",' +
        `"settlementDigest":"${'ab'.repeat(32)}","settlementId":"0197a1c0-0000-7000-8000-000000000001",` +
        '"siteId":"0197a1c0-0000-7000-8000-000000000003","statementNumber":"2025-000017"}',
    );
  });

  it('comes apart into what went in', () => {
    expect(decodeLeaf(encodeLeaf({ salt: SALT, entry: ENTRY }))).toEqual({ ok: true, salt: SALT, entry: ENTRY });
  });

  it('hashes differently under another salt', () => {
    const hashes = [SALT, SALT.toReversed()].map((salt) => Buffer.from(leafHash(encodeLeaf({ salt, entry: ENTRY }))).toString('hex'));
    expect(new Set(hashes).size).toBe(2);
  });

  it('is not made with a short salt', () => {
    expect(() => encodeLeaf({ salt: SALT.subarray(1), entry: ENTRY })).toThrow('16 bytes');
  });

  it.each([
    ['nothing after the salt', SALT, 'leaf-too-short'],
    ['members out of order', Buffer.concat([SALT, Buffer.from('{"b":1,"a":2}')]), 'leaf-not-canonical'],
    ['white space', Buffer.concat([SALT, Buffer.from('{"a": 1}')]), 'leaf-not-canonical'],
    ['a member twice', Buffer.concat([SALT, Buffer.from('{"a":1,"a":1}')]), 'leaf-not-canonical'],
    ['a fraction', Buffer.concat([SALT, Buffer.from('{"a":1.5}')]), 'leaf-not-canonical'],
    ['a byte order mark', Buffer.concat([SALT, Buffer.from('\ufeff{"a":1}')]), 'leaf-not-canonical'],
    ['half a document', Buffer.concat([SALT, Buffer.from('{"a":')]), 'leaf-not-canonical'],
    ['bytes that are no text', Buffer.concat([SALT, Buffer.of(0x22, 0xc3, 0x28, 0x22)]), 'leaf-not-utf8'],
  ])('is not read with %s', (_, bytes, problem) => {
    expect(decodeLeaf(bytes)).toEqual({ ok: false, problem });
  });
});
