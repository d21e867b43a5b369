/**
 * A rate of the takings themselves. Each component is rounded on its own, or the exact components are summed and the
 * sum is rounded once; then the later components are rounded, at most what is left, and the first takes the rest.
 *
 * Both ways are published: 4 % and 0.5 % on 10.12 are 0.46 together, 0.40 + 0.05 apart (Streamlined Sales and Use Tax
 * Agreement s. 324 lets the seller choose).
 */
import { oneHundred, type Billionths } from '#domain/money/decimal';
import { divideHalfUp } from '#domain/money/rounding';

export interface RatedBase {
  readonly baseMinor: bigint;
  /** Percent, as billionths. */
  readonly rate: Billionths;
}

/** One amount per base, in the given order; negative bases give negative amounts. */
export function onTakingsTax({ bases, rounding }: { readonly bases: readonly RatedBase[]; readonly rounding: 'apart' | 'together' }): bigint[] {
  const apart = bases.map(({ baseMinor, rate }) => divideHalfUp({ dividend: baseMinor * rate, divisor: oneHundred }));
  if (rounding === 'apart') return apart;
  const exact = bases.reduce((sum, { baseMinor, rate }) => sum + baseMinor * rate, 0n);
  let leftMinor = divideHalfUp({ dividend: exact, divisor: oneHundred });
  const later = apart.slice(1).map((part) => {
    const taken = part > leftMinor ? leftMinor : part;
    leftMinor -= taken;
    return taken;
  });
  return [leftMinor, ...later];
}
