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
