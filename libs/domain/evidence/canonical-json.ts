/**
 * Canonical JSON (RFC 8785), restricted to what this program ever hashes: no fractions, no bigint, no undefined.
 * Amounts travel as decimal strings, because a JSON number is a double to most readers and would not survive them.
 */

/** What may be hashed. Numbers must be safe integers; the type cannot say so, `canonicalJson` does. */
export type CanonicalValue =
  | null
  | boolean
  | number
  | string
  | readonly CanonicalValue[]
  | { readonly [name: string]: CanonicalValue };

/** A bug in the caller: the value has no canonical form. `path` is a JSON pointer (RFC 6901) to the culprit. */
export class NotCanonicalError extends Error {
  constructor(
    readonly path: string,
    reason: string,
  ) {
    super(`no canonical JSON at "${path}": ${reason}`);
    this.name = 'NotCanonicalError';
  }
}

/**
 * The one text of a value (RFC 8785): names in order of their UTF-16 code units, no white space, ECMAScript string
 * escapes, strings not normalised. Throws NotCanonicalError on fractions, unsafe integers, lone surrogates (RFC 8785
 * 3.2.2.2 demands an error), undefined, bigint, functions, and objects with a class: a Date or Map would be written
 * as something its reader cannot turn back.
 */
export function canonicalJson(value: CanonicalValue): string {
  return write(value, '');
}

/** The UTF-8 bytes of `canonicalJson`, which is what gets hashed and stored. */
export function canonicalBytes(value: CanonicalValue): Uint8Array {
  return new TextEncoder().encode(canonicalJson(value));
}

/**
 * The value of a canonical text. Throws SyntaxError when it is no JSON, and NotCanonicalError when the same value has another
 * canonical form: two texts must not stand for one value.
 */
export function parseCanonicalJson(text: string): CanonicalValue {
  const value: unknown = JSON.parse(text);
  if (write(value, '') !== text) throw new NotCanonicalError('', 'another text is the canonical one');
  return value as CanonicalValue;
}

function write(value: unknown, path: string): string {
  switch (typeof value) {
    case 'string':
      return quote(value, path);
    case 'boolean':
      return value ? 'true' : 'false';
    case 'number':
      if (!Number.isSafeInteger(value)) throw new NotCanonicalError(path, `${value} is not a safe integer`);
      // Minus zero is written as zero (RFC 8785 appendix B).
      return String(value + 0);
    case 'object':
      if (value === null) return 'null';
      return Array.isArray(value) ? writeArray(value, path) : writeObject(value, path);
    default:
      throw new NotCanonicalError(path, `a value of type ${typeof value}`);
  }
}

function writeArray(items: readonly unknown[], path: string): string {
  // Not map: it would skip the holes of a sparse array instead of refusing them.
  const written: string[] = [];
  for (let index = 0; index < items.length; index += 1) written.push(write(items[index], `${path}/${index}`));
  return `[${written.join(',')}]`;
}

function writeObject(object: object, path: string): string {
  if (!isPlain(object)) throw new NotCanonicalError(path, 'an object with a class');
  const members = Object.entries(object).sort(([left], [right]) => (left < right ? -1 : 1));
  const written = members.map(([name, member]) => {
    const memberPath = `${path}/${name.replaceAll('~', '~0').replaceAll('/', '~1')}`;
    return `${quote(name, memberPath)}:${write(member, memberPath)}`;
  });
  return `{${written.join(',')}}`;
}

function quote(text: string, path: string): string {
  if (/\p{Surrogate}/u.test(text)) throw new NotCanonicalError(path, 'a lone surrogate');
  return JSON.stringify(text);
}

/** Compares the shape of the prototype chain, not `Object.prototype` itself: workers and frames have one of their own. */
function isPlain(object: object): boolean {
  const prototype: unknown = Object.getPrototypeOf(object);
  return prototype === null || Object.getPrototypeOf(prototype) === null;
}
