import type { CurrencyCode } from '#domain/money/currency';

/** From which amount of a year rents paid to one payee are reported. */
export interface Threshold {
  readonly country: string;
  readonly currency: CurrencyCode;
  readonly fromYear: number;
  /** Null: holds on. */
  readonly toYear: number | null;
  readonly rentsMinor: bigint;
  readonly source: string;
}

/** Dated; a year without a row has no amount that is known here. */
const thresholds: readonly Threshold[] = [
  { country: 'US', currency: 'USD', fromYear: 1955, toYear: 2025, rentsMinor: 60_000n, source: '26 U.S.C. 6041(a) before P.L. 119-21; Form 1099-MISC, box 1: 600.00 or more' },
  // From 2027 on the amount follows prices: it is published each year.
  { country: 'US', currency: 'USD', fromYear: 2026, toYear: 2026, rentsMinor: 200_000n, source: '26 U.S.C. 6041(a) as amended by P.L. 119-21, section 70433: 2,000.00 or more for payments made in 2026' },
];

export function thresholdOf(asked: { readonly country: string; readonly currency: CurrencyCode; readonly year: number }): Threshold | null {
  return (
    thresholds.find(
      ({ country, currency, fromYear, toYear }) => country === asked.country && currency === asked.currency && fromYear <= asked.year && (toYear === null || asked.year <= toYear),
    ) ?? null
  );
}
