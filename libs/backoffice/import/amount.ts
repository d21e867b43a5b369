/** Largest amount of one cell: 10^15 minor units leave room for every sum in a bigint column. */
const LARGEST_MINOR = 1_000_000_000_000_000n;

export type DecimalMark = '.' | ',';
export type CellAmountProblem = 'not-an-amount' | 'negative-amount' | 'too-many-digits' | 'amount-too-large';

/**
 * Minor units of a cell, or why it has none. Plain digits with at most one decimal mark, and no thousands mark: `1.234`
 * would be 1 or 1,234 depending on who reads it.
 */
export function parseCellAmount(cell: { readonly text: string; readonly digits: number; readonly decimalMark: DecimalMark }): bigint | CellAmountProblem {
  const match = /^(-?)(\d{1,18})(?:([.,])(\d{1,18}))?$/.exec(cell.text);
  const [, sign = '', whole = '', mark, fraction = ''] = match ?? [];
  if (match === null || (mark !== undefined && mark !== cell.decimalMark)) return 'not-an-amount';
  if (sign !== '') return 'negative-amount';
  if (fraction.length > cell.digits) return 'too-many-digits';
  const minor = BigInt(whole + fraction.padEnd(cell.digits, '0'));
  return minor > LARGEST_MINOR ? 'amount-too-large' : minor;
}
