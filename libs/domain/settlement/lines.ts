/**
 * The lines of a settlement. Every figure is one line with a key that says what it is about, the same each time the
 * period is computed; differences after issue are taken key by key.
 */
import type { Rational } from '#domain/money/rational';
import type { PartyId } from '#domain/terms/types';

/** The steps of the waterfall, in order. */
export const steps = ['takings', 'refunds', 'tax', 'charges', 'split', 'guarantees', 'payout'] as const;

export type Step = (typeof steps)[number];

/**
 * What a line is. Kinds in `detailKinds` only show how another line came about; the others carry the money, each unit
 * of it once.
 */
export const allLineKinds = [
  /** Counted cash of a machine. */
  'cash',
  /** What the cash meters imply beyond the counted cash (basis metered); may be negative. */
  'metered-difference',
  'tokens',
  'cashless',
  /** Stolen cash that a party makes good as if it had been counted. */
  'break-in',
  /** Given back to players, per machine and who paid it; positive. */
  'refund',
  /** Of a machine: takings - refunds. */
  'net-takings',
  'tax-base',
  'tax-taxable',
  /** A component's tax before the split. */
  'tax',
  /** A machine's part of such a component. */
  'tax-of-machine',
  /** A component's tax out of the operator's share. */
  'operator-tax',
  /** A loss that opens a pool; negative or zero. */
  'loss-in',
  'pool-opening',
  /** Charge taken from a pool. */
  'charge',
  /** What the takings did not reach: carried or lapsed. */
  'charge-rest',
  /** What is left in a pool for the split. */
  'pool-left',
  'share',
  /** A loss that is carried on; negative. */
  'loss-out',
  /** Moved between shares by a guarantee; one line per party, sum zero. */
  'guarantee',
  /** Deductions and additions of the payout, signed from the payee's view. */
  'payee-share',
  'payee-charge',
  'payee-refund',
  'payee-tax',
  'payee-break-in',
  'payee-handed-cash',
  'payee-advance',
  'payee-carried-in',
  'payable',
] as const;

export type LineKind = (typeof allLineKinds)[number];

export const detailKinds: ReadonlySet<LineKind> = new Set<LineKind>([
  'net-takings',
  'tax-base',
  'tax-taxable',
  'tax-of-machine',
  'pool-opening',
  'charge-rest',
  'pool-left',
  'payable',
]);

/** What a line is about; only what applies is present. */
export interface LineAbout {
  /** Group of counts (one per different terms within the period), 1 and up. */
  readonly group?: number;
  readonly machineId?: string;
  readonly poolKey?: string;
  readonly party?: PartyId;
  /** Dated tax rule row, its area and component. */
  readonly taxRuleId?: string;
  readonly taxAreaId?: string;
  readonly taxComponentId?: string;
  readonly filedBy?: 'operator' | 'site';
  readonly chargeId?: string;
  /** Title of a charge or of a tax component, as its document states it. */
  readonly title?: string;
  readonly guaranteeId?: string;
  readonly advanceId?: string;
  readonly handedCashId?: string;
  readonly carriedItemId?: string;
  /** For a rest that was carried: since when. For `charge-rest`: what becomes of it. */
  readonly since?: string;
  readonly becomes?: 'lapsed' | 'carried';
}

export interface PeriodLine {
  readonly key: string;
  readonly step: Step;
  readonly kind: LineKind;
  readonly about: LineAbout;
  readonly amountMinor: bigint;
}

export interface Line extends PeriodLine {
  /** 1 and up, through the whole settlement. */
  readonly number: number;
  /** Of a difference: what was issued before and what it is now. */
  readonly change?: { readonly issuedMinor: bigint; readonly nowMinor: bigint };
  /** Why it is this much; left out when the settlement was computed without explanations. */
  readonly explanation?: Explanation;
}

export interface Explanation {
  readonly formula: Formula;
  readonly inputs: readonly InputRef[];
  readonly rule: RuleRef | null;
  /** Before rounding; null where nothing was rounded. */
  readonly exact: Rational | null;
  /** Further figures that the formula names, as text. */
  readonly parameters: Readonly<Record<string, string>>;
}

/** Codes of the ways in which figures come about; catalogues hold their sentences. */
export const allFormulas = [
  'sum-of-counts',
  'metered-less-counted',
  'tokens-at-value',
  'cashless-less-refunded',
  'break-in-made-good',
  'sum-of-slips',
  'takings-less-refunds',
  'base-of-rule',
  'base-without-tax',
  'tax-first-component-takes-rest',
  'taxable-times-rate',
  'base-times-rate',
  'tax-fixed-by-days',
  'tax-fixed-when-due',
  'tax-capped',
  'tax-set-against-carried',
  'tax-not-below-zero',
  'allocated',
  'carried-from-before',
  'opening',
  'amount-by-days',
  'amount-once',
  'amount-per-visit',
  'percentage',
  'at-most-what-is-left',
  'left-after-charges',
  'share-by-percent',
  'share-by-bands',
  'loss-carried',
  'guarantee-shortfall',
  'guarantee-excess',
  'sum-of-lines',
  'handed-at-collection',
  'advance-recouped',
  'no-longer-there',
] as const;

export type Formula = (typeof allFormulas)[number];

export type InputRef =
  | { readonly of: 'count' | 'slip' | 'cashless' | 'break-in' | 'handed-cash' | 'advance' | 'carried-item'; readonly id: string }
  | { readonly of: 'line'; readonly key: string };

export type RuleRef =
  /** A place in the terms of a version, as a JSON pointer. */
  { readonly of: 'terms'; readonly versionId: string; readonly pointer: string } | { readonly of: 'tax-rule'; readonly ruleId: string };
