/**
 * What a settlement is computed from: one plain document that holds everything the result depends on, so that the same
 * inputs give the same result years later. People appear by id at most, never by name.
 *
 * All amounts are minor units of the document's one currency. All ranges of days are half-open: `from` belongs to
 * them, `until` does not.
 */
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { PeriodCarries } from '#domain/settlement/carries';
import type { PeriodLine } from '#domain/settlement/lines';
import type { LawLimit, MachineKind, TaxRule } from '#domain/tax/types';
import type { AgreementVersion, PartyId } from '#domain/terms/types';

export interface SettlementInputs {
  readonly format: 1;
  /** `final` ends an agreement, `supplementary` follows it: both pay out without a smallest amount and carry nothing to a later payout. */
  readonly kind: SettlementKind;
  readonly currency: CurrencyCode;
  readonly agreementId: string;
  readonly siteId: string;
  /** What the period before the first one below left behind. */
  readonly carriesIn: PeriodCarries;
  /** Issued periods that are settled again because something in or before them has changed, oldest first, without a gap up to the last issued one. */
  readonly earlier: readonly EarlierPeriod[];
  readonly current: PeriodInputs;
  /** What the last settlement expressly carried instead of paying. */
  readonly carriedItems: readonly CarriedItem[];
  /** Advances that are still open, in the order in which they are worked off. */
  readonly advances: readonly AdvanceInput[];
  /** Cash that a payee kept or was handed, and payments on account, that no issued settlement has taken into account yet. */
  readonly handedCash: readonly HandedCash[];
}

export type SettlementKind = 'regular' | 'final' | 'supplementary';

export interface PeriodInputs {
  readonly period: SettlementPeriod;
  /** Every version that is in force on an accounting date below or on the period's last day, by start date. */
  readonly versions: readonly AgreementVersion[];
  readonly taxRules: readonly TaxRule[];
  readonly limits: readonly LawLimit[];
  /** All machines that were at the site under this agreement during the period or have a count below. */
  readonly machines: readonly MachineInput[];
  readonly counts: readonly CountInput[];
  readonly refundSlips: readonly RefundSlipInput[];
  readonly cashless: readonly CashlessInput[];
  readonly breakIns: readonly BreakInInput[];
}

export interface SettlementPeriod {
  readonly id: string;
  readonly from: LocalDate;
  readonly until: LocalDate;
}

/** An issued period with all that is now known, and what was issued for it so far (see `issuedLines`). */
export interface EarlierPeriod {
  readonly inputs: PeriodInputs;
  readonly issued: readonly PeriodLine[];
}

export interface MachineInput {
  readonly id: string;
  /** What people read on the cabinet; it decides ties between machines. */
  readonly tag: string;
  readonly kind: MachineKind;
  /** When it stood at the site, as far as that touches the period. */
  readonly placements: readonly PlacementInput[];
}

export interface PlacementInput {
  readonly id: string;
  readonly from: LocalDate;
  readonly until: LocalDate | null;
}

/** Cash out of one machine's cash box at one collection, after everything taken from it before bagging was added. */
export interface CountInput {
  readonly id: string;
  readonly collectionId: string;
  readonly placementId: string;
  readonly machineId: string;
  /** Decides period, agreement version and tax rules. */
  readonly accountingDate: LocalDate;
  readonly countedOn: LocalDate;
  /** The days whose takings were in the box: from the previous count at this placement (or its first day) up to `countedOn`, a removal count including that day. */
  readonly coveredFrom: LocalDate;
  readonly coveredUntil: LocalDate;
  readonly coinMinor: bigint;
  readonly noteMinor: bigint;
  readonly tokens: readonly TokenCount[];
  /** The cash that the meters imply: below zero where a machine paid back more than it took, out of what lay in it before. Null where they were not read. Needed with basis `metered`. */
  readonly meteredMinor: bigint | null;
}

export interface TokenCount {
  readonly tokenId: string;
  readonly pieces: number;
}

/** Money that was given back to a player, in the collection at which the slip is presented. */
export interface RefundSlipInput {
  readonly id: string;
  readonly machineId: string;
  readonly collectionId: string;
  readonly accountingDate: LocalDate;
  /** Day of the refund itself. */
  readonly date: LocalDate;
  readonly amountMinor: bigint;
  /** Who gave it. A payee gets it back; a refund repaid out of the box is also handed cash. */
  readonly paidBy: PartyId;
}

/** What one reader reported for one local day, or for one collection where the agreement says so. */
export interface CashlessInput {
  readonly id: string;
  readonly machineId: string;
  readonly accountingDate: LocalDate;
  readonly grossMinor: bigint;
  /** Card refunds and charge-backs, as a positive amount. */
  readonly refundedMinor: bigint;
}

export interface BreakInInput {
  readonly id: string;
  readonly machineId: string;
  readonly accountingDate: LocalDate;
  /** The stolen cash as the meters imply it. */
  readonly amountMinor: bigint;
}

export interface HandedCash {
  readonly id: string;
  readonly party: PartyId;
  readonly collectionId: string | null;
  readonly date: LocalDate;
  /** Below zero where the payee itself paid on account. */
  readonly amountMinor: bigint;
  readonly reason: 'handed' | 'kept' | 'on-account';
}

export interface AdvanceInput {
  readonly id: string;
  readonly party: PartyId;
  readonly openMinor: bigint;
}

export interface CarriedItem {
  readonly id: string;
  readonly party: PartyId;
  readonly amountMinor: bigint;
}
