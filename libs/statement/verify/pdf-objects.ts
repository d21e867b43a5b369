/**
 * A file of this program taken apart, byte by byte, and held against one that was set anew. Nothing is searched for and
 * nothing passed over: a byte that the program would not have written there ends the reading, so no object, annotation or
 * later revision can stand anywhere unseen.
 */
import { inflatedUpTo } from '#statement/inflate';
import { textOf } from '#statement/sign/byte-range';

/** An indirect object (ISO 32000-1 7.3.10) with its stream, if it has one, as it lies in the file. */
export interface PdfObject {
  readonly id: number;
  /** From 0. */
  readonly offset: number;
  /** What stands between `obj` and `endobj`, without the stream. */
  readonly body: string;
  readonly stream?: Uint8Array;
}

export interface PdfParts {
  readonly header: string;
  readonly objects: readonly PdfObject[];
  readonly trailer: string;
}

/** Where the reading ended, and why. */
export interface Unreadable {
  readonly at: number;
}

const OBJECT = /^(\d{1,7}) 0 obj\n/;
const LONGEST_OBJECT_START = 20;
/** Between these stand names and numbers only. */
const STREAM_KEYWORD = '\nstream\n';
const STREAM_END = '\nendstream\nendobj\n';
const OBJECT_END = '\nendobj\n';

/** The parts of a whole file. */
export function partsOf(pdf: Uint8Array): PdfParts | Unreadable {
  const text = textOf(pdf);
  const first = text.search(/\d{1,7} 0 obj\n/);
  if (first === -1) return { at: 0 };
  const objects: PdfObject[] = [];
  let at = first;
  while (!text.startsWith('xref\n', at)) {
    const object = objectAt({ pdf, text, at });
    if (object === undefined) return { at };
    objects.push(object);
    at = object.end;
  }
  const trailer = trailerAt({ text, at, objects });
  return trailer === undefined ? { at } : { header: text.slice(0, first), objects, trailer };
}

interface Place {
  readonly pdf: Uint8Array;
  readonly text: string;
  readonly at: number;
}

function objectAt({ pdf, text, at }: Place): (PdfObject & { end: number }) | undefined {
  const start = OBJECT.exec(text.slice(at, at + LONGEST_OBJECT_START));
  if (start === null) return undefined;
  const id = Number(start[1]);
  const bodyStart = at + start[0].length;
  const bodyEnd = text.indexOf(OBJECT_END, bodyStart);
  if (bodyEnd === -1) return undefined;
  // Within the object: a search to the end of the file for each of many objects would take hours.
  const within = text.slice(bodyStart, bodyEnd).indexOf(STREAM_KEYWORD);
  const streamStart = bodyStart + within;
  if (within === -1) return { id, offset: at, body: text.slice(bodyStart, bodyEnd), end: bodyEnd + OBJECT_END.length };

  const body = text.slice(bodyStart, streamStart);
  const length = /\/Length (\d{1,9})(?!\d)/.exec(body);
  if (length === null) return undefined;
  const dataStart = streamStart + STREAM_KEYWORD.length;
  const dataEnd = dataStart + Number(length[1]);
  if (!text.startsWith(STREAM_END, dataEnd)) return undefined;
  return { id, offset: at, body, stream: pdf.subarray(dataStart, dataEnd), end: dataEnd + STREAM_END.length };
}

/** The cross-reference table must name every object at its place and nothing else, and the file must end after it. */
function trailerAt({ text, at, objects }: { text: string; at: number; objects: readonly PdfObject[] }): string | undefined {
  const offsets = new Map(objects.map(({ id, offset }) => [id, offset]));
  const size = objects.length + 1;
  if (offsets.size !== objects.length) return undefined;
  const entries = Array.from({ length: size - 1 }, (_, index) => offsets.get(index + 1));
  if (entries.includes(undefined)) return undefined;
  const table = ['xref', `0 ${size}`, '0000000000 65535 f ', ...entries.map((offset) => `${String(offset).padStart(10, '0')} 00000 n `), 'trailer', ''].join('\n');
  if (!text.startsWith(table, at)) return undefined;
  const rest = text.slice(at + table.length);
  const end = `\nstartxref\n${at}\n%%EOF\n`;
  if (!rest.endsWith(end)) return undefined;
  const trailer = rest.slice(0, rest.length - end.length);
  // A dictionary and no more: whatever follows `>>` would be another part of the file.
  return /^<<\n[^<>]*(<[0-9a-f]*>[^<>]*)*>>$/.test(trailer) ? trailer : undefined;
}

/** What of a file differs from one that was set anew. */
export type PdfDifference =
  | { readonly kind: 'not-as-written'; readonly at: number }
  | { readonly kind: 'objects-added-or-missing' }
  | { readonly kind: 'object-differs'; readonly part: PdfPart; readonly id: number };

export type PdfPart = 'page-text' | 'attached-figures' | 'font-or-colour' | 'description' | 'annotation' | 'signature' | 'structure';

/** The first difference, or undefined where the two files say the same. Lengths of compressed streams may differ: they are inflated. */
export async function differenceOf({ found, made }: { found: Uint8Array; made: Uint8Array }): Promise<PdfDifference | undefined> {
  const [foundParts, madeParts] = [partsOf(found), partsOf(made)];
  if ('at' in madeParts) throw new Error(`a file that was just set cannot be read at ${madeParts.at}`);
  if ('at' in foundParts) return { kind: 'not-as-written', at: foundParts.at };
  if (foundParts.header !== madeParts.header) return { kind: 'not-as-written', at: 0 };
  if (foundParts.objects.length !== madeParts.objects.length) return { kind: 'objects-added-or-missing' };
  const pageTexts = new Set(madeParts.objects.flatMap(({ body }) => (body.includes('/Type /Page\n') ? (/\/Contents (\d+) 0 R/.exec(body)?.slice(1).map(Number) ?? []) : [])));
  for (const [position, ours] of madeParts.objects.entries()) {
    const theirs = foundParts.objects[position];
    if (theirs === undefined || theirs.id !== ours.id) return { kind: 'objects-added-or-missing' };
    if (!(await isSameObject(theirs, ours))) return { kind: 'object-differs', part: pageTexts.has(ours.id) ? 'page-text' : partOf(ours), id: ours.id };
  }
  return foundParts.trailer === madeParts.trailer ? undefined : { kind: 'not-as-written', at: found.length };
}

async function isSameObject(theirs: PdfObject, ours: PdfObject): Promise<boolean> {
  if (comparable(theirs) !== comparable(ours)) return false;
  if (theirs.stream === undefined || ours.stream === undefined) return theirs.stream === ours.stream;
  if (sameBytes(theirs.stream, ours.stream)) return true;
  if (!ours.body.includes('/Filter /FlateDecode')) return false;
  const plain = await inflatedUpTo(ours.stream, Number.MAX_SAFE_INTEGER);
  // No more of theirs than ours has: a small stream can hold gigabytes.
  const other = await inflatedUpTo(theirs.stream, (plain?.length ?? 0) + 1);
  if (plain === undefined || other === undefined || !sameBytes(other, plain)) return false;
  // What still inflates without its last byte has something behind its end, which no viewer shows.
  return (await inflatedUpTo(theirs.stream.subarray(0, -1), plain.length + 1)) === undefined;
}

/**
 * Without what follows from the lengths of compressed streams, and without the signature, which is checked by itself:
 * where Contents is, and what it leaves out of the file, is for `locateSignature` to say.
 */
function comparable({ body }: PdfObject): string {
  return body
    .replace(/\/Length \d+/, '/Length')
    .replace(/\/ByteRange \[[\d ]*\]/, '/ByteRange []')
    .replace(/\/Contents <[0-9a-fA-F]*>/, '/Contents <>');
}

function partOf({ body, stream }: PdfObject): PdfPart {
  if (body.includes('/Type /EmbeddedFile')) return 'attached-figures';
  if (body.includes('/Type /Sig\n')) return 'signature';
  if (body.includes('/Type /Annot')) return 'annotation';
  if (body.includes('/Type /Metadata') || body.includes('/Producer')) return 'description';
  return stream === undefined ? 'structure' : 'font-or-colour';
}

function sameBytes(one: Uint8Array, other: Uint8Array): boolean {
  return one.length === other.length && one.every((byte, index) => byte === other[index]);
}
