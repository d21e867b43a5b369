/** How the sets of coins and notes are written down: faces in minor units, weights in grams as text, as their sources print them. */
import type { CashIssue } from '#domain/counting/tally';
import type { CurrencyCode } from '#domain/money/currency';
import { decimal, toBillionths } from '#domain/money/decimal';

/** An issue with where its figures were read. */
export interface SourcedIssue extends CashIssue {
  readonly source: string;
}

interface Coin {
  readonly id: string;
  readonly name: string;
  readonly faceMinor: bigint;
  /** `11.34`, of one piece. */
  readonly grams: string;
  /** `30.4`: grams per kilogram. */
  readonly toleranceGramsPerKilogram?: string;
  readonly source: string;
}

export function coins(currency: CurrencyCode, list: readonly Coin[]): SourcedIssue[] {
  return list.map(({ id, name, faceMinor, grams, toleranceGramsPerKilogram, source }) => ({
    id: `${currency.toLowerCase()}-${id}`,
    name,
    currency,
    tender: 'coin',
    faceMinor,
    pieceMilligrams: thousandths(grams),
    toleranceParts: toleranceGramsPerKilogram === undefined ? null : thousandths(toleranceGramsPerKilogram),
    source,
  }));
}

/** Notes are counted, never weighed: wear, damp and tape move their weight by more than a note. */
export function notes(currency: CurrencyCode, { faces, unitMinor, source }: { readonly faces: readonly bigint[]; readonly unitMinor: bigint; readonly source: string }): SourcedIssue[] {
  return faces.map((face) => ({
    id: `${currency.toLowerCase()}-note-${String(face)}`,
    name: `${String(face)} note`,
    currency,
    tender: 'note',
    faceMinor: face * unitMinor,
    pieceMilligrams: null,
    toleranceParts: null,
    source,
  }));
}

/** `11.34` as 11340: grams as milligrams, grams per kilogram as parts per million. */
function thousandths(text: string): bigint {
  return toBillionths(decimal(text)) / 1_000_000n;
}
