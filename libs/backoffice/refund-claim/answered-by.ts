/** A claim that lies open, with its amount in minor units. */
type OpenClaim = { readonly id: string; readonly amount_minor: bigint };

/**
 * Which open claims of a machine, the oldest first, a slip answers that may be their sum: all of them where they have the same sum, or else one that has
 * the amount. None where neither is so: which of them it was nobody can tell from the amount.
 */
export function answeredBy<Claim extends OpenClaim>(claims: readonly Claim[], amountMinor: bigint): readonly Claim[] {
  if (sumOf(claims) === amountMinor) return claims;
  const one = claims.find((claim) => claim.amount_minor === amountMinor);
  return one === undefined ? [] : [one];
}

export const sumOf = (claims: readonly OpenClaim[]): bigint => claims.reduce((sum, claim) => sum + claim.amount_minor, 0n);
