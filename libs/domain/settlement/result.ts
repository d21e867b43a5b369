/**
 * What comes out of a settlement: a plain document as well. Texts are codes with parameters, which catalogues turn into
 * sentences. Amounts are minor units of the document's one currency.
 */
import type { CurrencyCode } from '#domain/money/currency';
import type { EntryPosting } from '#domain/journal/types';
import type { PeriodCarries } from '#domain/settlement/carries';
import type { SettlementKind, SettlementPeriod } from '#domain/settlement/inputs';
import type { Line } from '#domain/settlement/lines';
import type { LawLimit } from '#domain/tax/types';
import type { PartyId } from '#domain/terms/types';

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
  /** The issued period whose figures break it, all changes included; left out for the settlement's own period. */
  readonly changedPeriod?: SettlementPeriod;
}
