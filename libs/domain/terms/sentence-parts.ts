/** What sentences about terms are made of: a code, and what is filled in. */
import type { LocalDate } from '#domain/calendar/local-date';
import type { Decimal } from '#domain/money/decimal';
import type { PhraseCode, SentenceCode } from '#domain/terms/sentence-codes';
import type { PartyId, PartyShare } from '#domain/terms/types';

export type Filling =
  | { readonly kind: 'party'; readonly party: PartyId }
  | { readonly kind: 'amount'; readonly amountMinor: bigint }
  | { readonly kind: 'percent'; readonly percent: Decimal }
  | { readonly kind: 'date'; readonly date: LocalDate }
  | { readonly kind: 'shares'; readonly shares: readonly PartyShare[] }
  /** A code that the catalogue has a phrase for. */
  | { readonly kind: 'phrase'; readonly code: PhraseCode }
  /** Words of the parties themselves. */
  | { readonly kind: 'text'; readonly text: string };

export interface Sentence {
  readonly code: SentenceCode;
  readonly fillings: Readonly<Record<string, Filling>>;
}

export function sentence(code: SentenceCode, fillings: Readonly<Record<string, Filling>> = {}): Sentence {
  return { code, fillings };
}

export function amount(amountMinor: bigint): Filling {
  return { kind: 'amount', amountMinor };
}

export function party(id: PartyId): Filling {
  return { kind: 'party', party: id };
}

export function phrase(code: PhraseCode): Filling {
  return { kind: 'phrase', code };
}
