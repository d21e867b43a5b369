/**
 * What a settlement is computed from and what comes out: two plain documents. The inputs hold everything that the
 * result depends on, so that the same inputs give the same result years later. People appear by id at most, never by
 * name; texts are codes with parameters, which catalogues turn into sentences.
 *
 * All amounts are minor units of the document's one currency. All ranges of days are half-open: `from` belongs to
 * them, `until` does not.
 */
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Rational } from '#domain/money/rational';
import type { LawLimit, MachineKind, TaxRule } from '#domain/tax/types';
import type { AgreementVersion, PartyId, Scope } from '#domain/terms/types';
import type { Line, PeriodLine } from '#domain/settlement/lines';
import type { EntryPosting } from '#domain/journal/types';

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
  /** The cash that the meters imply; null where they were not read. Needed with basis `metered`. */
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

/** What one period of an agreement leaves to the next. */
export interface PeriodCarries {
  readonly losses: readonly LossCarry[];
  readonly chargeRests: readonly ChargeRest[];
  readonly negativeTaxes: readonly NegativeTax[];
  /** Days that were settled already, so that an amount per week, month or year is not charged for them again. */
  readonly coveredDays: readonly CoveredDays[];
}

export interface LossCarry {
  readonly poolKey: string;
  /** The pool's machines, by which the loss finds its way when the pools change. */
  readonly machineIds: readonly string[];
  /** Below zero. */
  readonly amountMinor: bigint;
}

export interface ChargeRest {
  readonly chargeId: string;
  readonly title: string;
  readonly to: PartyId;
  readonly scope: Scope;
  /** Pool that owes it; null for the whole agreement. */
  readonly poolKey: string | null;
  /** The pool's machines, or the one machine of a charge per machine; empty for the whole agreement. */
  readonly machineIds: readonly string[];
  /** First day of the period that could not bear it; the oldest are taken first. */
  readonly since: LocalDate;
  readonly amountMinor: bigint;
}

export interface NegativeTax {
  readonly taxId: string;
  /** Below zero. */
  readonly amountMinor: bigint;
}

export interface CoveredDays {
  readonly machineId: string;
  readonly kind: MachineKind;
  /** Merged and in order. */
  readonly ranges: readonly DayRange[];
}

export interface DayRange {
  readonly from: LocalDate;
  readonly until: LocalDate;
}

export const noCarries: PeriodCarries = { losses: [], chargeRests: [], negativeTaxes: [], coveredDays: [] };

export interface SettlementResult {
  readonly format: 1;
  readonly engineVersion: number;
  readonly kind: SettlementKind;
  readonly currency: CurrencyCode;
  readonly agreementId: string;
  /** Earlier periods by difference, oldest first, then the settlement's own period. Line numbers run through. */
  readonly periods: readonly PeriodResult[];
  /** Per party over all periods above, in the agreement's order, operator included. */
  readonly parties: readonly PartyResult[];
  /** Everybody but the operator. */
  readonly payables: readonly Payable[];
  /** The lines of the payout step: what makes up the payables. */
  readonly payoutLines: readonly Line[];
  readonly taxes: readonly TaxTotal[];
  readonly totals: Totals;
  readonly breaches: readonly LimitBreach[];
  /** Balanced: debits positive, credits negative, sum zero. */
  readonly postings: readonly EntryPosting[];
}

export interface PeriodResult {
  readonly period: SettlementPeriod;
  /** `difference`: amounts are what is new against everything issued for that period before. */
  readonly kind: 'current' | 'difference';
  readonly lines: readonly Line[];
  readonly totals: Totals;
  /** Always whole, also after a difference. */
  readonly carriesOut: PeriodCarries;
}

/** netTakings + lossIn = taxBeforeSplit + charges + shares + lossOut, to the unit. */
export interface Totals {
  readonly takingsMinor: bigint;
  readonly refundsMinor: bigint;
  readonly netTakingsMinor: bigint;
  readonly lossInMinor: bigint;
  readonly taxBeforeSplitMinor: bigint;
  readonly chargesMinor: bigint;
  readonly sharesMinor: bigint;
  readonly lossOutMinor: bigint;
  /** Tax that comes out of the operator's share. */
  readonly operatorTaxMinor: bigint;
}

export interface PartyResult {
  readonly party: PartyId;
  readonly role: 'operator' | 'site' | 'other';
  /** After guarantees; before tax that the operator bears. */
  readonly sharesMinor: bigint;
  readonly chargesMinor: bigint;
}

export interface Payable {
  readonly party: PartyId;
  readonly sharesMinor: bigint;
  readonly chargesMinor: bigint;
  readonly refundsPaidMinor: bigint;
  readonly taxFiledMinor: bigint;
  /** Stolen cash that the party answers for, as a deduction. */
  readonly breakInsMinor: bigint;
  readonly handedCashMinor: bigint;
  readonly advancesRepaidMinor: bigint;
  readonly carriedInMinor: bigint;
  readonly amountMinor: bigint;
  /** `due`: to be paid; `carried`: opens the next settlement; `owed`: the payee owes it; `nothing`: zero. */
  readonly outcome: 'due' | 'carried' | 'owed' | 'nothing';
  readonly advances: readonly AdvanceRepayment[];
  /** Where payment is in coins larger than the minor unit. */
  readonly cashPayment: CashPayment | null;
}

export interface AdvanceRepayment {
  readonly advanceId: string;
  readonly repaidMinor: bigint;
  readonly openAfterMinor: bigint;
}

export interface CashPayment {
  readonly payMinor: bigint;
  /** payMinor - amountMinor, for the rounding account when it is paid. */
  readonly roundingMinor: bigint;
}

export interface TaxTotal {
  readonly ruleId: string;
  readonly taxId: string;
  readonly areaId: string;
  readonly componentId: string;
  readonly filedBy: 'operator' | 'site';
  readonly borneBy: 'all' | 'operator';
  readonly amountMinor: bigint;
}

/** A limit of the law that the figures do not keep; the settlement must not be issued as it is. */
export interface LimitBreach {
  readonly limitId: string;
  readonly areaId: string;
  readonly source: string;
  readonly kind: LawLimit['kind'];
  readonly allowedMinor: bigint;
  readonly actualMinor: bigint;
}

/** The exact value before rounding, for explanations. */
export type ExactValue = Rational;
