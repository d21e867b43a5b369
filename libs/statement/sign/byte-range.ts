/**
 * Where a PDF's signature sits, found in the bytes themselves (ISO 32000-1 section 12.8.1). The signature covers
 * everything but the hexadecimal string of Contents; ByteRange says so, and must say nothing else.
 *
 * Plain Uint8Array, so that the same code runs where a statement is made and where it is checked. Only the places that
 * matter are turned into text: decoding whole files cost a tenth of the time of making them.
 */

/** The hole that the signature fills: from its `<` up to and including its `>`. */
export interface SignatureHole {
  readonly start: number;
  readonly end: number;
}

/** The four numbers of ByteRange and where they are written. */
interface WrittenByteRange {
  readonly firstStart: number;
  readonly firstLength: number;
  readonly secondStart: number;
  readonly secondLength: number;
  /** The text between the brackets. */
  readonly textStart: number;
  readonly textEnd: number;
}

export type LocatedSignature =
  | {
      readonly ok: true;
      readonly hole: SignatureHole;
      /** False when bytes stand before or after what the signature covers: whatever they say, nobody signed it. */
      readonly coversWholeFile: boolean;
      /** End of what the signature covers. */
      readonly signedEnd: number;
    }
  | { readonly ok: false; readonly problem: 'no-signature' | 'several-signatures' | 'byte-range-is-not-around-contents' };

/** Room for file sizes of ten digits; the numbers that replace these are padded to the same length. */
export const UNKNOWN_BYTE_RANGE = [0, 9_999_999_999, 9_999_999_999, 9_999_999_999] as const;

const BYTE_RANGE = /^\/ByteRange\s*\[\s*(\d{1,10})\s+(\d{1,10})\s+(\d{1,10})\s+(\d{1,10})\s*\]/;
/** Longer than any ByteRange that is written sensibly. */
const BYTE_RANGE_WINDOW = 96;

/** As many arguments as any engine takes. */
const TEXT_CHUNK = 8_192;

/** One character per byte. */
export function textOf(bytes: Uint8Array): string {
  const parts: string[] = [];
  for (let at = 0; at < bytes.length; at += TEXT_CHUNK) parts.push(String.fromCharCode(...bytes.subarray(at, at + TEXT_CHUNK)));
  return parts.join('');
}

/** Finds the one signature of a file and whether its ByteRange is exactly all but Contents. */
export function locateSignature(pdf: Uint8Array): LocatedSignature {
  const written = writtenByteRanges(pdf);
  const [only] = written;
  if (only === undefined) return { ok: false, problem: 'no-signature' };
  if (written.length > 1) return { ok: false, problem: 'several-signatures' };

  const hole = { start: only.firstStart + only.firstLength, end: only.secondStart };
  const signedEnd = only.secondStart + only.secondLength;
  const isAroundContents =
    only.firstStart === 0 &&
    signedEnd <= pdf.length &&
    only.textEnd <= hole.start &&
    isHexString(pdf.subarray(hole.start, hole.end)) &&
    /\/Contents\s*$/.test(textOf(pdf.subarray(Math.max(0, hole.start - 32), hole.start)));
  if (!isAroundContents) return { ok: false, problem: 'byte-range-is-not-around-contents' };
  return { ok: true, hole, signedEnd, coversWholeFile: signedEnd === pdf.length };
}

/**
 * Writes the real ByteRange over the unknown one that pdfkit wrote, in place. Done before anything is hashed, so that
 * the unsigned and the signed file differ in Contents alone and one can be had back from the other.
 */
export function fillByteRange(pdf: Uint8Array): void {
  const placeholder = writtenByteRanges(pdf).find(({ secondLength }) => secondLength === UNKNOWN_BYTE_RANGE[3]);
  if (placeholder === undefined) throw new Error('the PDF was rendered without a place for a signature');
  const contents = indexOfAscii(pdf, '/Contents', placeholder.textEnd);
  const start = contents === -1 ? -1 : indexOfAscii(pdf, '<', contents);
  if (start === -1) throw new Error('the signature has no Contents');
  const end = indexOfAscii(pdf, '>', start) + 1;
  const numbers = `0 ${start} ${end} ${pdf.length - end}`.padEnd(placeholder.textEnd - placeholder.textStart);
  pdf.set(new TextEncoder().encode(numbers), placeholder.textStart);
}

function writtenByteRanges(pdf: Uint8Array): WrittenByteRange[] {
  const found: WrittenByteRange[] = [];
  for (let at = indexOfAscii(pdf, '/ByteRange', 0); at !== -1; at = indexOfAscii(pdf, '/ByteRange', at + 1)) {
    const match = BYTE_RANGE.exec(textOf(pdf.subarray(at, at + BYTE_RANGE_WINDOW)));
    if (match === null) continue;
    const [firstStart = 0, firstLength = 0, secondStart = 0, secondLength = 0] = match.slice(1).map(Number);
    const textStart = at + match[0].indexOf('[') + 1;
    const textEnd = at + match[0].length - 1;
    found.push({ firstStart, firstLength, secondStart, secondLength, textStart, textEnd });
  }
  return found;
}

/** A plain loop: a file has thousands of places that begin alike, and a closure for each would be most of the work. */
function indexOfAscii(bytes: Uint8Array, text: string, from: number): number {
  const first = text.charCodeAt(0);
  for (let at = bytes.indexOf(first, from); at !== -1; at = bytes.indexOf(first, at + 1)) {
    let matching = 1;
    while (matching < text.length && bytes[at + matching] === text.charCodeAt(matching)) matching += 1;
    if (matching === text.length) return at;
  }
  return -1;
}

/** Whether the bytes are `<`, pairs of hexadecimal digits, `>`. */
function isHexString(bytes: Uint8Array): boolean {
  if (bytes.length < 4 || bytes.length % 2 !== 0 || bytes[0] !== 0x3c || bytes[bytes.length - 1] !== 0x3e) return false;
  return bytes.subarray(1, -1).every((byte) => (byte >= 0x30 && byte <= 0x39) || (byte >= 0x41 && byte <= 0x46) || (byte >= 0x61 && byte <= 0x66));
}
