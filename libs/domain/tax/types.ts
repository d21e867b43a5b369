/**
 * Tax rules and limits of the law as data. A rule is one dated row of a tax area (state, county, city); a change of
 * rate is a new row of the same tax. Rates are exact decimals in percent, as text, with up to nine places.
 */
import type { LocalDate } from '#domain/calendar/local-date';
import type { Decimal } from '#domain/money/decimal';

/** The operator's own word for a sort of machine (`pool-table`, `jukebox` ...). */
export type MachineKind = string;

export type MachineKinds = 'all' | readonly MachineKind[];

interface TaxRuleBase {
  /** This dated row. */
  readonly id: string;
  /** The tax that the row belongs to: the same over all its rows; a negative amount is carried under it. */
  readonly taxId: string;
  readonly areaId: string;
  readonly title: string;
  /** Where the rule is published, and when it was read. */
  readonly source: string;
  /** First day in force. */
  readonly from: LocalDate;
  /** First day no longer in force, or null while it has no end. */
  readonly until: LocalDate | null;
  readonly machineKinds: MachineKinds;
  readonly filedBy: 'operator' | 'site';
  readonly borneBy: 'all' | 'operator';
  /** Whether cash stolen in a break-in (as far as the meters show it) is taxed all the same. */
  readonly breakIns: 'in-base' | 'not-in-base';
}

/** Shared by the two methods that take a rate of takings. */
interface RateRule extends TaxRuleBase {
  /** A tax that comes out negative is zero; `carry` sets it against the tax of the rule's next period. */
  readonly negative: 'zero' | 'carry';
  /** At most this much per machine and calendar month, scaled by days covered; null: no cap. */
  readonly capPerMachineMonthMinor: bigint | null;
}

/** The price contains the tax: taxable = takings / (1 + sum of rates). */
export interface InsideTaxRule extends RateRule {
  readonly method: 'inside';
  readonly components: readonly RateComponent[];
}

/** A rate of takings, without taking the tax out of the base first. */
export interface OnTakingsTaxRule extends RateRule {
  readonly method: 'on-takings';
  /** `together`: the exact components are summed and rounded once; `apart`: each is rounded. */
  readonly rounding: 'apart' | 'together';
  readonly components: readonly KindRateComponent[];
}

/** An amount per machine. */
export interface FixedTaxRule extends TaxRuleBase {
  readonly method: 'fixed';
  readonly per: 'month' | 'year';
  readonly timing: FixedTaxTiming;
  readonly components: readonly AmountComponent[];
}

export type TaxRule = InsideTaxRule | OnTakingsTaxRule | FixedTaxRule;

export type TaxMethod = TaxRule['method'];

/**
 * `by-days-covered` spreads the amount; `when-due` takes it whole, in the period in which the due date falls, for each
 * machine that is in place on that day. `month` is left out of account for a tax per month. With `onPlacement` a
 * machine that comes to the site after the date of its year (month) owes it on its first day there; one that comes
 * before owes it on the date, once.
 */
export type FixedTaxTiming =
  { readonly kind: 'by-days-covered' } | { readonly kind: 'when-due'; readonly month: number; readonly day: number; readonly onPlacement: boolean };

export interface RateComponent {
  readonly id: string;
  readonly title: string;
  readonly ratePercent: Decimal;
}

export interface KindRateComponent extends RateComponent {
  /** Only some of the rule's machine kinds, or `all` of them. */
  readonly machineKinds: MachineKinds;
}

export interface AmountComponent {
  readonly id: string;
  readonly title: string;
  readonly amountMinor: bigint;
  /** With `onPlacement`: another amount for a machine that is placed on or after this month and day of the year. */
  readonly placedLater: { readonly month: number; readonly day: number; readonly amountMinor: bigint } | null;
}

/** What the law of the place allows in an agreement. */
export type LawLimit = HighestSiteShare | FixedSplit | NoAdvances;

interface LawLimitBase {
  readonly id: string;
  readonly areaId: string;
  readonly source: string;
  readonly from: LocalDate;
  readonly until: LocalDate | null;
}

/** The site may have at most this part of what is left after tax and the charges of the others. */
export interface HighestSiteShare extends LawLimitBase {
  readonly kind: 'highest-site-share';
  readonly percent: Decimal;
}

/** The law itself divides what is left. */
export interface FixedSplit extends LawLimitBase {
  readonly kind: 'fixed-split';
  readonly operatorPercent: Decimal;
  readonly sitePercent: Decimal;
}

export interface NoAdvances extends LawLimitBase {
  readonly kind: 'no-advances';
}
