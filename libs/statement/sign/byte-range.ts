/**
 * Where a PDF's signature sits, found in the bytes themselves (ISO 32000-1 section 12.8.1). The signature covers
 * everything but the hexadecimal string of Contents; ByteRange says so, and must say nothing else.
 *
 * Plain Uint8Array, so that the same code runs where a statement is made and where it is checked.
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

const BYTE_RANGE = /\/ByteRange\s*\[\s*(\d{1,10})\s+(\d{1,10})\s+(\d{1,10})\s+(\d{1,10})\s*\]/g;

/** One character per byte, so that positions in the text are positions in the file. */
export function textOf(bytes: Uint8Array): string {
  return new TextDecoder('latin1').decode(bytes);
}

/** Finds the one signature of a file and whether its ByteRange is exactly all but Contents. */
export function locateSignature(pdf: Uint8Array): LocatedSignature {
  const text = textOf(pdf);
  const written = writtenByteRanges(text);
  const [only] = written;
  if (only === undefined) return { ok: false, problem: 'no-signature' };
  if (written.length > 1) return { ok: false, problem: 'several-signatures' };

  const hole = { start: only.firstStart + only.firstLength, end: only.secondStart };
  const signedEnd = only.secondStart + only.secondLength;
  const aroundContents =
    only.firstStart === 0 &&
    signedEnd <= pdf.length &&
    only.textEnd <= hole.start &&
    /^<(?:[0-9A-Fa-f]{2})+>$/.test(text.slice(hole.start, hole.end)) &&
    /\/Contents\s*$/.test(text.slice(Math.max(0, hole.start - 32), hole.start));
  if (!aroundContents) return { ok: false, problem: 'byte-range-is-not-around-contents' };
  return { ok: true, hole, signedEnd, coversWholeFile: signedEnd === pdf.length };
}

/**
 * Writes the real ByteRange over the unknown one that pdfkit wrote, in place. Done before anything is hashed, so that
 * the unsigned and the signed file differ in Contents alone and one can be had back from the other.
 */
export function fillByteRange(pdf: Uint8Array): void {
  const text = textOf(pdf);
  const placeholder = writtenByteRanges(text).find(({ secondLength }) => secondLength === UNKNOWN_BYTE_RANGE[3]);
  if (placeholder === undefined) throw new Error('the PDF was rendered without a place for a signature');
  const contents = /\/Contents\s*</g;
  contents.lastIndex = placeholder.textEnd;
  if (contents.exec(text) === null) throw new Error('the signature has no Contents');
  const hole = { start: contents.lastIndex - 1, end: text.indexOf('>', contents.lastIndex) + 1 };
  const numbers = `0 ${hole.start} ${hole.end} ${pdf.length - hole.end}`.padEnd(placeholder.textEnd - placeholder.textStart);
  pdf.set(new TextEncoder().encode(numbers), placeholder.textStart);
}

function writtenByteRanges(text: string): WrittenByteRange[] {
  return Array.from(text.matchAll(BYTE_RANGE), (match) => {
    const [firstStart = 0, firstLength = 0, secondStart = 0, secondLength = 0] = match.slice(1).map(Number);
    const textStart = match.index + match[0].indexOf('[') + 1;
    const textEnd = match.index + match[0].length - 1;
    return { firstStart, firstLength, secondStart, secondLength, textStart, textEnd };
  });
}
