/**
 * The figures for machines inside a statement, read back from the file: what `verify-log` compares the log with. Nothing
 * here says that they are genuine; `checkSignature` does. Runs in Node and in the browser.
 */
import type { CanonicalValue } from '#domain/evidence/canonical-json';
import { textOf } from '#statement/sign/byte-range';

export interface AttachedFigures {
  readonly statementNumber: string;
  /** The head of the operator's log before the batch of this statement. */
  readonly evidenceHead: { readonly size: number; readonly root: string };
  readonly settlementDigest: string;
  readonly settlement?: CanonicalValue;
}

const SHA256_HEX = /^[0-9a-f]{64}$/;

/** The attachment of a statement of this program, or undefined where there is none that can be read. */
export async function attachedFigures(pdf: Uint8Array): Promise<AttachedFigures | undefined> {
  const compressed = embeddedFile(pdf);
  if (compressed === undefined) return undefined;
  try {
    const figures: unknown = JSON.parse(await inflated(compressed));
    return isFigures(figures) ? figures : undefined;
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
  const compressed = embeddedFile(pdf);
  if (compressed === undefined) return undefined;
  try {
    const receipt: unknown = JSON.parse(await inflated(compressed));
    return isReceipt(receipt) ? receipt : undefined;
  } catch {
    return undefined;
  }
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
  const dictionary = /\/Type \/EmbeddedFile\n(?:(?!endobj)[^])*?\/Length (\d{1,9})\n(?:(?!endobj)[^])*?\nstream\n/.exec(text);
  if (dictionary === null) return undefined;
  const start = dictionary.index + dictionary[0].length;
  return pdf.subarray(start, start + Number(dictionary[1]));
}

async function inflated(bytes: Uint8Array): Promise<string> {
  const plain = new Blob([new Uint8Array(bytes)]).stream().pipeThrough(new DecompressionStream('deflate'));
  return new Response(plain).text();
}

function isFigures(value: unknown): value is AttachedFigures {
  if (typeof value !== 'object' || value === null || !('format' in value && value.format === 1)) return false;
  return (
    'statementNumber' in value &&
    typeof value.statementNumber === 'string' &&
    'settlementDigest' in value &&
    isSha256Hex(value.settlementDigest) &&
    'evidenceHead' in value &&
    isHead(value.evidenceHead)
  );
}

function isHead(value: unknown): boolean {
  if (typeof value !== 'object' || value === null || !('size' in value) || !('root' in value)) return false;
  return Number.isSafeInteger(value.size) && isSha256Hex(value.root);
}

function isSha256Hex(value: unknown): value is string {
  return typeof value === 'string' && SHA256_HEX.test(value);
}
