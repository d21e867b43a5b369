/**
 * The tax of one area and one filing month, over all its sites, whatever their settlement cycles are. A count belongs to
 * the calendar month of its accounting date.
 */
import type { LocalDate } from '#domain/calendar/local-date';
import type { MachineInput, PeriodInputs } from '#domain/settlement/inputs';
import type { TaxRule } from '#domain/tax/types';

/** Half-open: `until` is the first day of the next month. */
export interface FilingMonth {
  readonly from: LocalDate;
  readonly until: LocalDate;
}

/** One site with the periods of its agreements that touch the month. */
export interface SiteFacts {
  readonly siteId: string;
  readonly siteCode: string;
  /** With all that is known now. */
  readonly known: readonly PeriodInputs[];
  /** As numbered settlements last took them in. */
  readonly settled: readonly PeriodInputs[];
  /** Tax that numbered settlements booked for the periods that end in the month, as far as the operator files it. */
  readonly bookedMinor: bigint;
  /** Whether every period of the site is a calendar month, so that settlement and month look at the same counts. */
  readonly byMonth: boolean;
}

/** A machine with its placements in the area since the last due date before the month, for taxes that fall due. */
export interface StandingMachine {
  readonly machine: MachineInput;
  /** Site of each of the machine's placements, by placement id. */
  readonly siteOf: ReadonlyMap<string, string>;
}

export interface ReturnFacts {
  readonly month: FilingMonth;
  /** Rules of the area in force on some day of the month. */
  readonly rules: readonly TaxRule[];
  readonly sites: readonly SiteFacts[];
  readonly standing: readonly StandingMachine[];
  /** Whether the operator, not the site, files what is taken in at a site on a day under a rule. */
  readonly operatorFiles: (rule: TaxRule, place: { readonly siteId: string; readonly on: LocalDate }) => boolean;
  /** Negative tax that the return of the month before carried, by tax id; zero or below. */
  readonly carriedIn: ReadonlyMap<string, bigint>;
}

/** What one component of a rule takes from one machine at one site. */
export interface ReturnRow {
  readonly ruleId: string;
  readonly componentId: string;
  readonly siteId: string;
  readonly machine: MachineInput;
  readonly baseMinor: bigint;
  readonly taxMinor: bigint;
}

export interface ReturnComponent {
  readonly componentId: string;
  readonly title: string;
  readonly baseMinor: bigint;
  readonly taxMinor: bigint;
}

export interface RuleReturn {
  readonly rule: TaxRule;
  readonly baseMinor: bigint;
  /** Base without the tax that the price contains; null for other taxes. */
  readonly taxableMinor: bigint | null;
  readonly taxMinor: bigint;
  readonly carriedInMinor: bigint;
  readonly carriedOutMinor: bigint;
  readonly components: readonly ReturnComponent[];
}

/**
 * Why the tax of the return is not what settlements booked:
 * - `rounding`: the return rounds one sum, settlements round each of theirs.
 * - `negative-bases`: a site below zero lowers the sum but had no tax given back; also what was carried of it.
 * - `not-settled`: counts of the month that no numbered settlement has taken in.
 * - `timing`: periods that are no calendar months: counts of another month, or those of this one booked in another.
 * - `settled-otherwise`: settled by what held or was known then: a rule changed later, a tax carried by the agreement.
 */
export type DifferenceCause = 'rounding' | 'negative-bases' | 'not-settled' | 'timing' | 'settled-otherwise';

export interface ReturnDifference {
  readonly cause: DifferenceCause;
  /** The rule for rounding and negative bases, the site for the others. */
  readonly ruleId: string | null;
  readonly siteId: string | null;
  /** Tax of the return less tax booked. */
  readonly amountMinor: bigint;
}

/** taxMinor - bookedMinor is the sum of the differences, always. */
export interface TaxReturn {
  readonly rules: readonly RuleReturn[];
  readonly rows: readonly ReturnRow[];
  readonly taxMinor: bigint;
  readonly bookedMinor: bigint;
  readonly differences: readonly ReturnDifference[];
}
