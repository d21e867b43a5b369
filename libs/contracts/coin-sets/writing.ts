/** How the sets of coins and notes are written down: faces in minor units, weights in grams as text, as their sources print them. */
import { localDate } from '#domain/calendar/local-date';
import type { InUse } from '#domain/counting/in-use';
import type { CashIssue } from '#domain/counting/tally';
import type { CurrencyCode } from '#domain/money/currency';
import { decimal, toBillionths } from '#domain/money/decimal';

/** An issue with the days between which it is money, and where its figures were read. */
export interface SourcedIssue extends CashIssue, InUse {
  readonly source: string;
}

/** Days are `2012-04-10`; where only the year is known, the first of it. Left out where that is longer ago than any book here, or not over. */
interface Dated {
  readonly from?: string;
  readonly until?: string;
}

interface Coin extends Dated {
  readonly id: string;
  readonly name: string;
  readonly faceMinor: bigint;
  /** `11.34`, of one piece. Left out where no source is certain: the coin is then counted in pieces only. */
  readonly grams?: string;
  /** `30.4`: grams per kilogram. */
  readonly toleranceGramsPerKilogram?: string;
  readonly source: string;
}

export function coins(currency: CurrencyCode, list: readonly Coin[]): SourcedIssue[] {
  return list.map(({ id, name, faceMinor, grams, toleranceGramsPerKilogram, source, ...days }) => ({
    id: `${currency.toLowerCase()}-${id}`,
    name,
    currency,
    tender: 'coin',
    faceMinor,
    pieceMilligrams: grams === undefined ? null : thousandths(grams),
    toleranceParts: toleranceGramsPerKilogram === undefined ? null : thousandths(toleranceGramsPerKilogram),
    ...inUse(days),
    source,
  }));
}

interface Notes extends Dated {
  readonly faces: readonly bigint[];
  readonly source: string;
}

/** Notes are counted, never weighed: wear, damp and tape move their weight by more than a note. Faces are in units of a hundred minor ones. */
export function notes(currency: CurrencyCode, { faces, source, ...days }: Notes): SourcedIssue[] {
  return faces.map((face) => ({
    id: `${currency.toLowerCase()}-note-${String(face)}`,
    name: `${String(face)} note`,
    currency,
    tender: 'note',
    faceMinor: face * 100n,
    pieceMilligrams: null,
    toleranceParts: null,
    ...inUse(days),
    source,
  }));
}

function inUse({ from, until }: Dated): InUse {
  return { from: from === undefined ? null : localDate(from), until: until === undefined ? null : localDate(until) };
}

/** `11.34` as 11340: grams as milligrams, grams per kilogram as parts per million. */
function thousandths(text: string): bigint {
  return toBillionths(decimal(text)) / 1_000_000n;
}
