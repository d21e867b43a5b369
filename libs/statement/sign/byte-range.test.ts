import { fillByteRange, locateSignature } from '#statement/sign/byte-range';

const UNKNOWN = '/ByteRange [0 9999999999 9999999999 9999999999]';

function pdf(text: string): Uint8Array {
  return Buffer.from(text, 'latin1');
}

function filled(text: string): Buffer {
  const bytes = Buffer.from(text, 'latin1');
  fillByteRange(bytes);
  return bytes;
}

describe('the ByteRange', () => {
  it('is written around Contents without moving a byte', () => {
    const text = `%PDF-1.7 \xff /Type /Sig ${UNKNOWN} /Contents <0000> /M (D:2025) %%EOF`;
    const bytes = filled(text);
    expect(bytes).toHaveLength(text.length);
    const start = text.indexOf('<');
    const end = text.indexOf('>') + 1;
    expect(bytes.toString('latin1')).toContain(`/ByteRange [0 ${start} ${end} ${text.length - end}`);
    expect(locateSignature(bytes)).toEqual({ ok: true, hole: { start, end }, signedEnd: text.length, coversWholeFile: true });
  });

  it('does not cover what is appended', () => {
    const bytes = filled(`${UNKNOWN} /Contents <0000> %%EOF`);
    expect(locateSignature(Buffer.concat([bytes, Buffer.from('more')]))).toMatchObject({ ok: true, coversWholeFile: false });
  });

  it('cannot be filled in a PDF without a place for a signature', () => {
    expect(() => filled('%PDF-1.7 %%EOF')).toThrow('without a place');
    expect(() => filled(`${UNKNOWN} %%EOF`)).toThrow('no Contents');
  });

  it.each([
    ['no signature', '%PDF-1.7', 'no-signature'],
    ['two signatures', '/ByteRange [0 9 9 9] /ByteRange [0 9 9 9]', 'several-signatures'],
    ['a hole wider than Contents', '/ByteRange [0 28 40 2] /Contents <0000> /M 12345', 'byte-range-is-not-around-contents'],
    ['a hole that is not hexadecimal', '/ByteRange [0 33 39 0] /Contents <zz11>', 'byte-range-is-not-around-contents'],
    ['a hole that is not Contents', '/ByteRange [0 31 37 0] /Anything <0011>', 'byte-range-is-not-around-contents'],
    ['a start that is not the beginning', '/ByteRange [1 32 39 0] /Contents <0011>', 'byte-range-is-not-around-contents'],
    ['an end beyond the file', '/ByteRange [0 33 39 9] /Contents <0011>', 'byte-range-is-not-around-contents'],
  ])('is refused with %s', (_, text, problem) => {
    expect(locateSignature(pdf(text))).toEqual({ ok: false, problem });
  });
});
