/**
 * The price contains the tax. Taxable = takings / (1 + sum of the rates), rounded; what is above it is the tax. The
 * later components are rounded from the taxable amount and the first takes the rest, so that the components always
 * sum to the tax.
 *
 * Source of the divisor: rule 12A-15.011(1) F.A.C. and Florida form DR-15N, line A (1.045 for 4 % and 0.5 %).
 */
import { oneHundred, type Billionths } from '#domain/money/decimal';
import { rational, type Rational } from '#domain/money/rational';
import { divideHalfUp } from '#domain/money/rounding';

export interface InsideTax {
  readonly taxableMinor: bigint;
  readonly exactTaxable: Rational;
  readonly taxMinor: bigint;
  /** In the order of the rates. */
  readonly componentsMinor: readonly bigint[];
}

/** `rates` in percent, as billionths; `baseMinor` may be negative, then so is the tax. */
export function insideTax({ baseMinor, rates }: { readonly baseMinor: bigint; readonly rates: readonly Billionths[] }): InsideTax {
  const divisor = rates.reduce((sum, rate) => sum + rate, oneHundred);
  const taxableMinor = divideHalfUp({ dividend: baseMinor * oneHundred, divisor });
  const taxMinor = baseMinor - taxableMinor;
  return {
    taxableMinor,
    exactTaxable: rational(baseMinor * oneHundred, divisor),
    taxMinor,
    componentsMinor: components({ taxMinor, taxableMinor, rates }),
  };
}

function components({ taxMinor, taxableMinor, rates }: { taxMinor: bigint; taxableMinor: bigint; rates: readonly Billionths[] }): bigint[] {
  let leftMinor = taxMinor;
  const later = rates.slice(1).map((rate) => {
    const part = nearerToZero(divideHalfUp({ dividend: taxableMinor * rate, divisor: oneHundred }), leftMinor);
    leftMinor -= part;
    return part;
  });
  return [leftMinor, ...later];
}

/** At most what is left, on either side of zero. */
function nearerToZero(part: bigint, left: bigint): bigint {
  if (part < 0n) return part < left ? left : part;
  return part > left ? left : part;
}
