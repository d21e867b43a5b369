/**
 * Whether nine digits can be the routing number of a bank in the United States: weights 3, 7, 1 repeated, and the sum is a
 * multiple of ten. The first two digits fall into the ranges that were given out.
 */
export function isRoutingNumber(text: string): boolean {
  if (!/^\d{9}$/.test(text)) return false;
  const sum = [...text].reduce((total, digit, index) => total + Number(digit) * ([3, 7, 1][index % 3] ?? 0), 0);
  const district = Number(text.slice(0, 2));
  const isGivenOut = (district >= 1 && district <= 12) || (district >= 21 && district <= 32) || (district >= 61 && district <= 72) || district === 80;
  return sum % 10 === 0 && isGivenOut;
}
