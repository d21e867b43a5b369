// What goes into a settlement and what comes out, in the plainest shapes that can hold it. Amounts are minor units of one currency,
// rates are decimals written out as text.
import type { Day } from './calendar';

export type Party = string;
export const operator: Party = 'operator';

export interface Machine {
  tag: string;
  kind: string;
  /** When it stood at the site. */
  placements: readonly { from: Day; until: Day }[];
}

/** One machine's box at one collection; `coveredFrom` up to but not including `coveredUntil` are the days it covers. */
export interface Count {
  machine: string;
  date: Day;
  visit: string;
  coveredFrom: Day;
  coveredUntil: Day;
  countedMinor: bigint;
  meteredMinor: bigint;
  tokensMinor: bigint;
}

export interface Cashless {
  machine: string;
  date: Day;
  amountMinor: bigint;
}

export interface Refund {
  machine: string;
  date: Day;
  amountMinor: bigint;
  paidBy: Party;
}

export interface BreakIn {
  machine: string;
  date: Day;
  amountMinor: bigint;
}

export type Per = 'week' | 'month' | 'year' | 'period' | 'visit' | 'machine-week' | 'machine-month';
export interface Amount {
  amountMinor: bigint;
  per: Per;
}

export interface Charge {
  name: string;
  to: Party;
  scope: 'agreement' | 'pool' | 'machine';
  what: Amount | { percentage: string; of: 'net' | 'cashless' | 'left' };
  rest: 'lapses' | 'carried';
}

export type ShareList = readonly { party: Party; share: string }[];
export type Split =
  | { method: 'shares'; shares: ShareList; loss: 'carry' | 'share' }
  | {
      method: 'bands';
      mode: 'marginal' | 'whole';
      scope: 'agreement' | 'pool';
      per: Per;
      /** Lowest first; a band ends where the next begins. */
      bands: readonly { fromMinor: bigint; shares: ShareList }[];
      loss: 'carry' | 'share';
    };

export interface Guarantee {
  party: Party;
  kind: 'at-least' | 'at-most';
  amount: Amount;
  scope: 'agreement' | 'pool' | 'machine';
  /** For `at-least`: who makes it good. */
  from: 'others' | 'operator';
  /** For `at-most`: who gets the excess. */
  excessTo: Party;
}

export interface Version {
  name: string;
  /** All that was signed, as text: versions that follow each other with the same wording are one. */
  wording: string;
  from: Day;
  basis: 'counted' | 'metered';
  grouping: 'site' | 'kind' | 'machine';
  /** Where the agreement says otherwise than the tax rules. */
  filedBy?: 'operator' | 'site';
  borneBy?: 'all' | 'operator';
  /** The party that alone bears what was stolen; no one named means everybody. */
  breakInBorneBy?: Party;
  charges: readonly Charge[];
  split: Split;
  guarantees: readonly Guarantee[];
}

export interface TaxComponent {
  name: string;
  rate: string;
  /** Only these kinds of machine; none given means all that the rule covers. */
  kinds?: readonly string[];
}

export interface FixedComponent {
  name: string;
  amountMinor: bigint;
  /** Another amount for a machine whose placement begins on or after this day of the year. */
  later?: { month: number; day: number; amountMinor: bigint };
}

/** The day on which a tax falls due every year, or on which it falls due every month. */
export interface DueDate {
  month: number;
  day: number;
  /** Whether a machine that comes after the due date owes the tax on its first day. */
  onPlacement: boolean;
}

export type TaxMethod =
  | { method: 'inside'; components: readonly TaxComponent[]; capPerMachineMonthMinor?: bigint }
  | { method: 'on-takings'; together: boolean; components: readonly TaxComponent[]; capPerMachineMonthMinor?: bigint }
  | { method: 'fixed'; components: readonly FixedComponent[]; per: 'month' | 'year'; due: 'by-days' | DueDate };

/** One dated row of a tax rule; rows of one rule share its name and follow each other. */
export interface TaxRule {
  name: string;
  row: string;
  from: Day;
  until: Day;
  kinds: readonly string[] | 'all';
  tax: TaxMethod;
  includesBreakIns: boolean;
  carryNegative: boolean;
  filedBy: 'operator' | 'site';
  borneBy: 'all' | 'operator';
}

export interface LossCarry {
  pool: string;
  machines: readonly string[];
  /** Below zero. */
  amountMinor: bigint;
}

export interface RestCarry {
  charge: string;
  to: Party;
  scope: 'agreement' | 'pool' | 'machine';
  /** The name of the pool, or the tag of the machine; empty for the whole agreement. */
  unit: string;
  machines: readonly string[];
  /** First day of the period that could not pay it. */
  since: Day;
  amountMinor: bigint;
}

/** Everything that an agreement hands from one settlement to the next. */
export interface Carry {
  losses: readonly LossCarry[];
  /** Oldest first. */
  rests: readonly RestCarry[];
  /** Per tax rule, below zero. */
  negativeTax: ReadonlyMap<string, bigint>;
  /** Days that counts of a machine covered and that were settled. */
  chargedDays: readonly { machine: string; kind: string; days: readonly Day[] }[];
}

/** One period of an agreement with everything known about it. */
export interface PeriodInput {
  period: { from: Day; until: Day };
  site: Party;
  machines: readonly Machine[];
  /** In order of their first days. */
  versions: readonly Version[];
  taxRules: readonly TaxRule[];
  counts: readonly Count[];
  cashless: readonly Cashless[];
  refunds: readonly Refund[];
  breakIns: readonly BreakIn[];
  carriedIn: Carry;
}

/** What a period, or what changed about it since it was issued, leaves a party with. */
export interface Credits {
  shareMinor: bigint;
  chargesMinor: bigint;
  refundsPaidMinor: bigint;
  taxFiledMinor: bigint;
  breakInsBorneMinor: bigint;
}

/** What the payout of one settlement goes by, over all the periods it settles. */
export interface PayoutInput {
  /** All parties but the operator, in the order of the agreement. */
  payees: readonly Party[];
  credits: ReadonlyMap<Party, Credits>;
  cashHanded: readonly { party: Party; amountMinor: bigint }[];
  carriedItems: readonly { party: Party; amountMinor: bigint }[];
  advances: readonly { name: string; party: Party; openMinor: bigint }[];
  repay: 'nothing' | { amountMinor: bigint } | { percentage: string };
  smallestPayoutMinor: bigint;
  carriesNegative: boolean;
  smallestCoinMinor: bigint | null;
  /** The last settlement of an agreement, or one that follows it: nothing is carried any more. */
  final: boolean;
}

export interface Limits {
  highestSiteShare?: string;
  noAdvances?: boolean;
}
