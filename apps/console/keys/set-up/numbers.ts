/** As long as a code may be. */
const LONGEST = 20;

/**
 * Numbers that count up from the first: `B1-07`, `B1-08`, ... Nothing when they cannot be: more than one from a number
 * without digits at its end, or one that grows too long.
 */
export function numbersFrom(first: string, howMany: number): readonly string[] | null {
  if (howMany === 1) return [first];
  const digits = /\d+$/.exec(first)?.[0];
  if (digits === undefined) return null;
  const stem = first.slice(0, first.length - digits.length);
  const begin = BigInt(digits);
  const numbers = Array.from({ length: howMany }, (_, index) => `${stem}${String(begin + BigInt(index)).padStart(digits.length, '0')}`);
  return numbers.some((number) => number.length > LONGEST) ? null : numbers;
}

/** The number after the last of those there are, for a field that nobody should have to think about; empty when none shows the way. */
export function nextNumber(numbers: readonly string[]): string {
  const last = [...numbers].sort((a, b) => a.localeCompare(b, 'en', { numeric: true })).at(-1);
  return last === undefined ? '' : (numbersFrom(last, 2)?.[1] ?? '');
}

/** A code for somebody out of their name: `Bo Tarn` gives `BO-TARN`. */
export function codeFromName(name: string): string {
  const plain = name.normalize('NFD').replace(/\p{M}/gu, '').toUpperCase();
  return plain.replace(/[^A-Z0-9]+/g, '-').replace(/^-+|-+$/g, '').slice(0, LONGEST).replace(/-+$/, '');
}
