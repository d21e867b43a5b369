/** `1134.25` as 1134250: grams that a schema has checked, exact to a milligram. */
export function toMilligrams(grams: string): bigint {
  const [whole = '0', fraction = ''] = grams.split('.');
  return BigInt(whole) * 1_000n + BigInt(fraction.padEnd(3, '0'));
}

/** 1134250 as `1134.25`. */
export function toGrams(milligrams: bigint): string {
  const fraction = String(milligrams % 1_000n).padStart(3, '0').replace(/0+$/, '');
  return `${String(milligrams / 1_000n)}${fraction === '' ? '' : `.${fraction}`}`;
}
