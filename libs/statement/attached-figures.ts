/**
 * The figures for machines inside a statement, read back from the file: what `verify-log` compares the log with. Nothing
 * here says that they are genuine; `checkSignature` does. Runs in Node and in the browser.
 */
import { NEWEST_ATTACHMENT_FORMAT } from '#contracts/statement-attachment';
import type { CanonicalValue } from '#domain/evidence/canonical-json';
import { inflatedUpTo } from '#statement/inflate';
import { textOf } from '#statement/sign/byte-range';

export interface AttachedFigures {
  readonly statementNumber: string;
  /** The head of the operator's log before the batch of this statement. */
  readonly evidenceHead: { readonly size: number; readonly root: string };
  readonly settlementDigest: string;
  readonly settlement?: CanonicalValue;
}

/** A settlement of a thousand machines over a year of days takes some five megabytes. */
const LARGEST_ATTACHMENT_BYTES = 30_000_000;

const STREAM_KEYWORD = '\nstream\n';

const SHA256_HEX = /^[0-9a-f]{64}$/;

/** The attachment of a statement of this program, or undefined where there is none that can be read. */
export async function attachedFigures(pdf: Uint8Array): Promise<AttachedFigures | undefined> {
  const figures = await attachedJson(pdf);
  return isFigures(figures) ? figures : undefined;
}

/** The JSON of the one attached file, whatever it holds, or undefined. */
export async function attachedJson(pdf: Uint8Array): Promise<unknown> {
  const compressed = embeddedFile(pdf);
  if (compressed === undefined) return undefined;
  try {
    return JSON.parse(await inflated(compressed)) as unknown;
  } catch {
    return undefined;
  }
}

/** What a receipt for keys holds for machines: the leaf of its event, and the proof that it lies under a head. */
export interface AttachedReceipt {
  readonly operatorCode: string;
  readonly eventId: string;
  readonly evidenceHead: { readonly size: number; readonly root: string };
  /** Place from 0; salt and hash in hex; entry as canonical JSON. */
  readonly leaf: { readonly index: number; readonly salt: string; readonly entry: string; readonly hash: string };
  /** In hex. */
  readonly inclusionProof: readonly string[];
}

/** The attachment of a receipt of this program, or undefined where there is none that can be read. */
export async function attachedReceipt(pdf: Uint8Array): Promise<AttachedReceipt | undefined> {
  const receipt = await attachedJson(pdf);
  return isReceipt(receipt) ? receipt : undefined;
}

function isReceipt(value: unknown): value is AttachedReceipt {
  if (typeof value !== 'object' || value === null || !('kind' in value && value.kind === 'custody-receipt' && 'format' in value && value.format === 1)) return false;
  return (
    'operatorCode' in value &&
    typeof value.operatorCode === 'string' &&
    'eventId' in value &&
    typeof value.eventId === 'string' &&
    'evidenceHead' in value &&
    isHead(value.evidenceHead) &&
    'leaf' in value &&
    isLeaf(value.leaf) &&
    'inclusionProof' in value &&
    Array.isArray(value.inclusionProof) &&
    value.inclusionProof.every(isSha256Hex)
  );
}

function isLeaf(value: unknown): boolean {
  if (typeof value !== 'object' || value === null || !('index' in value && 'salt' in value && 'entry' in value && 'hash' in value)) return false;
  return Number.isSafeInteger(value.index) && typeof value.salt === 'string' && /^[0-9a-f]{32}$/.test(value.salt) && typeof value.entry === 'string' && isSha256Hex(value.hash);
}

/** The stream of the one embedded file, as `renderStatement` has it written. */
function embeddedFile(pdf: Uint8Array): Uint8Array | undefined {
  const text = textOf(pdf);
  const dictionaryStart = text.indexOf('/Type /EmbeddedFile\n');
  const streamStart = dictionaryStart === -1 ? -1 : text.indexOf(STREAM_KEYWORD, dictionaryStart);
  if (streamStart === -1) return undefined;
  const dictionary = text.slice(dictionaryStart, streamStart + 1);
  const length = /\/Length (\d{1,9})\n/.exec(dictionary);
  if (length === null || dictionary.includes('endobj')) return undefined;
  const start = streamStart + STREAM_KEYWORD.length;
  return pdf.subarray(start, start + Number(length[1]));
}

/** The text of a compressed stream. Throws where it is none, or larger than any honest attachment. */
async function inflated(bytes: Uint8Array): Promise<string> {
  const plain = await inflatedUpTo(bytes, LARGEST_ATTACHMENT_BYTES);
  if (plain === undefined) throw new Error('not a compressed text of sensible size');
  return new TextDecoder('utf-8', { fatal: true }).decode(plain);
}

function isFigures(value: unknown): value is AttachedFigures {
  if (typeof value !== 'object' || value === null || !('format' in value && isKnownFormat(value.format))) return false;
  return (
    'statementNumber' in value &&
    typeof value.statementNumber === 'string' &&
    'settlementDigest' in value &&
    isSha256Hex(value.settlementDigest) &&
    'evidenceHead' in value &&
    isHead(value.evidenceHead)
  );
}

/** From the first, which had the figures alone, to the newest. */
function isKnownFormat(format: unknown): boolean {
  return Number.isSafeInteger(format) && Number(format) >= 1 && Number(format) <= NEWEST_ATTACHMENT_FORMAT;
}

function isHead(value: unknown): boolean {
  if (typeof value !== 'object' || value === null || !('size' in value) || !('root' in value)) return false;
  return Number.isSafeInteger(value.size) && isSha256Hex(value.root);
}

function isSha256Hex(value: unknown): value is string {
  return typeof value === 'string' && SHA256_HEX.test(value);
}
