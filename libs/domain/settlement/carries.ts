/** What one period of an agreement leaves to the next; amounts in minor units, ranges of days half-open. */
import type { LocalDate } from '#domain/calendar/local-date';
import type { MachineKind } from '#domain/tax/types';
import type { PartyId, Scope } from '#domain/terms/types';

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
