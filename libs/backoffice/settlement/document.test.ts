import { createHash } from 'node:crypto';
import { canonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';
import { settlementDigest, settlementDocumentText } from './document';

const document = {
  settlementId: '0193a000-0000-7000-8000-000000000001',
  number: 'KETTLE-2026-000001',
  issuedOn: '2026-11-02',
  inputsText: '{"a":[1,"ü"]}',
  resultText: '{"b":"2"}',
};

it('is canonical JSON that holds inputs and result as documents, not as texts', () => {
  const text = settlementDocumentText(document);
  const value: CanonicalValue = JSON.parse(text);
  expect(value).toEqual({
    format: 1,
    settlementId: document.settlementId,
    number: document.number,
    issuedOn: document.issuedOn,
    inputs: { a: [1, 'ü'] },
    result: { b: '2' },
  });
  expect(canonicalJson(value)).toBe(text);
});

it('is digested as UTF-8', () => {
  const expected = createHash('sha256').update(Buffer.from(settlementDocumentText(document), 'utf8')).digest('hex');
  expect(settlementDigest(document).toString('hex')).toBe(expected);
});
