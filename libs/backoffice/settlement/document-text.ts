import { canonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';

/** What the domain's documents are made of: canonical JSON's values, and whole minor units. */
type DocumentValue = CanonicalValue | bigint | { readonly [name: string]: unknown } | readonly unknown[];

/** Text that stands in JSON as it is. Codes, ids, dates and amounts are nearly all that a settlement holds. */
const needsNoEscape = /^[ !#-[\]-~]*$/;

/**
 * The canonical JSON (RFC 8785) of a document of the domain, its bigints as decimal text: the same text as
 * `canonicalJson(encodeInputs(inputs))`, written in one pass without the copy in between. A close writes two of these per
 * settlement, and the copy with its general escapes took four times as long (0.39 ms against 0.10 ms for 32 counts).
 */
export function documentText(document: DocumentValue): string {
  return write(document);
}

function write(value: unknown): string {
  switch (typeof value) {
    case 'string':
      return needsNoEscape.test(value) ? `"${value}"` : canonicalJson(value);
    case 'bigint':
      return `"${value}"`;
    case 'object':
      if (value === null) return 'null';
      if (Array.isArray(value)) return writeArray(value);
      // A Date or a Map would be written as something else than it is: refused there.
      if (Object.getPrototypeOf(value) !== Object.prototype) return canonicalJson(value as CanonicalValue);
      return writeObject(value as Record<string, unknown>);
    default:
      // Numbers and booleans; everything else is refused there.
      return canonicalJson(value as CanonicalValue);
  }
}

function writeArray(items: readonly unknown[]): string {
  let text = '[';
  for (let index = 0; index < items.length; index += 1) text += index === 0 ? write(items[index]) : `,${write(items[index])}`;
  return `${text}]`;
}

function writeObject(object: Record<string, unknown>): string {
  let text = '{';
  for (const name of Object.keys(object).sort()) text += `${text === '{' ? '' : ','}${write(name)}:${write(object[name])}`;
  return `${text}}`;
}
