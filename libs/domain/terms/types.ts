/**
 * The terms of an agreement between operator and site: one plain document per dated version. Whatever the parties
 * signed about money stands here and nowhere else, so that an issued settlement can be recomputed from it alone.
 *
 * Percentages are exact decimals in percent. Amounts are minor units of `currency`.
 */
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Decimal } from '#domain/money/decimal';

export type PartyId = string;

export interface Terms {
  /** Shape of this document; a later shape gets another number and the old one stays readable. */
  readonly format: 1;
  readonly currency: CurrencyCode;
  readonly arrangement: Arrangement;
  /** In the order in which the agreement lists them, which decides ties. Exactly one operator and one site. */
  readonly parties: readonly TermsParty[];
  readonly cycle: Cycle;
  /** Whose figure is the takings: what was counted, or what the cash meters imply (the operator then bears the difference). */
  readonly basis: 'counted' | 'metered';
  readonly grouping: Grouping;
  readonly tax: TaxHandling;
  /** Tokens are worth what the agreement says; one that is not listed is worth nothing. */
  readonly tokens: readonly TokenValue[];
  readonly cashless: CashlessTiming;
  readonly breakIns: { readonly borneBy: 'all' | 'operator' | 'site' };
  /** Taken before the split, in this order. */
  readonly charges: readonly Charge[];
  readonly split: Split;
  /** What happens when nothing is left: the loss opens the next pool, or the parties bear it. */
  readonly loss: 'carry' | 'share';
  /** Tested after the split, in this order. */
  readonly guarantees: readonly Guarantee[];
  readonly advances: AdvanceRecoup;
  readonly payout: Payout;
}

/** Who rents what from whom; it decides how payments are reported at year end. */
export type Arrangement = 'machine-lease' | 'space-lease' | 'joint-venture';

export interface TermsParty {
  readonly id: PartyId;
  readonly role: 'operator' | 'site' | 'other';
}

export type Cycle =
  | { readonly kind: 'month' }
  /** Periods of 28 days; one of them begins on the anchor. */
  | { readonly kind: 'four-weeks'; readonly anchor: LocalDate }
  /** Weeks that begin on an ISO weekday, Monday 1 to Sunday 7. */
  | { readonly kind: 'week'; readonly startsOnWeekday: number }
  /** Each visit to the site is a settlement of its own. */
  | { readonly kind: 'visit' };

/** Which machines share one pool. */
export type Grouping = 'site' | 'kind' | 'machine';

/** `as-the-rule-says` leaves it to the tax rule. */
export interface TaxHandling {
  readonly filedBy: 'as-the-rule-says' | 'operator' | 'site';
  readonly borneBy: 'as-the-rule-says' | 'all' | 'operator';
}

export interface TokenValue {
  readonly tokenId: string;
  readonly valueMinor: bigint;
}

/** `by-day`: on the local day that the reader reports; `by-collection`: with the collection that follows. */
export type CashlessTiming = 'by-day' | 'by-collection';

export interface Charge {
  /** Stays the same over the versions of an agreement: unpaid rests are carried under it. */
  readonly id: string;
  /** The parties' own name for it, as it shall stand on the statement. */
  readonly title: string;
  readonly to: PartyId;
  /** For what the amount is meant: once for the agreement, for each pool, or for each machine. */
  readonly scope: Scope;
  readonly amount: ChargeAmount;
  /** What becomes of the part that the takings do not reach. */
  readonly rest: 'lapse' | 'carry';
}

export type Scope = 'agreement' | 'pool' | 'machine';

export type ChargeAmount =
  | { readonly kind: 'amount'; readonly per: ChargeUnit; readonly amountMinor: bigint }
  | { readonly kind: 'percentage'; readonly of: PercentageBase; readonly percent: Decimal };

export type ChargeUnit = TimeUnit | 'period' | 'visit' | 'machine-week' | 'machine-month';

export type TimeUnit = 'week' | 'month' | 'year';

export type PercentageBase = 'net-takings' | 'cashless-takings' | 'what-is-left';

export type Split = SharesSplit | BandsSplit;

/** Percentages per party, exactly 100 in sum. */
export interface SharesSplit {
  readonly kind: 'shares';
  readonly shares: readonly PartyShare[];
}

export interface PartyShare {
  readonly party: PartyId;
  readonly percent: Decimal;
}

/** Another list of shares from each threshold on. */
export interface BandsSplit {
  readonly kind: 'bands';
  /** `marginal`: each slice by its own list; `whole`: everything by the list of the band that it reaches. */
  readonly method: 'marginal' | 'whole';
  /** What is measured against the thresholds. */
  readonly scope: 'agreement' | 'pool';
  /** For which time the thresholds are meant. */
  readonly per: TimeUnit | 'period';
  readonly bands: readonly Band[];
}

/** from <= amount < to. The first begins at 0, each next where the one before ends, the last has no end. */
export interface Band {
  readonly fromMinor: bigint;
  readonly toMinor: bigint | null;
  readonly shares: readonly PartyShare[];
}

export type Guarantee = AtLeast | AtMost;

interface GuaranteeBase {
  readonly id: string;
  readonly party: PartyId;
  readonly amountMinor: bigint;
  readonly per: TimeUnit | 'period';
  readonly scope: Scope;
}

/** A shortfall comes out of the others' shares as far as they go, or from the operator whatever it costs. */
export interface AtLeast extends GuaranteeBase {
  readonly kind: 'at-least';
  readonly from: 'others' | 'operator';
}

/** The excess goes to another party, usually the operator. */
export interface AtMost extends GuaranteeBase {
  readonly kind: 'at-most';
  readonly excessTo: PartyId;
}

/** How a payee's open advance is worked off. */
export type AdvanceRecoup =
  { readonly kind: 'none' } | { readonly kind: 'fixed'; readonly amountMinor: bigint } | { readonly kind: 'percentage'; readonly percent: Decimal };

export interface Payout {
  /** Less than this is carried to the next settlement; 0 pays everything. */
  readonly smallestMinor: bigint;
  /** What a payee owes is carried to the next settlement, or claimed at once. */
  readonly negative: 'carry' | 'claim';
  /** Paid in coins: the smallest coin in minor units, to which a payment is rounded; null: paid to the unit. */
  readonly smallestCoinMinor: bigint | null;
}

/** One signed state of the terms. The version in force on a day is the last that starts on or before it. */
export interface AgreementVersion {
  readonly id: string;
  readonly startsOn: LocalDate;
  readonly terms: Terms;
}
