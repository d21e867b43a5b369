/**
 * Everything that one statement says, ready to be printed: no lookup, no arithmetic and no clock is needed beyond this.
 * All amounts are bigint minor units of `currency`. Texts that belong to the page itself (headings, labels of known kinds)
 * come from the words of `locale`; texts here are the operator's own data, or sentences already written in that locale.
 */

import type { LocalDate } from '#domain/calendar/local-date';
import type { CanonicalValue } from '#domain/evidence/canonical-json';
import type { CurrencyCode } from '#domain/money/currency';

export interface StatementParty {
  readonly name: string;
  readonly addressLines: readonly string[];
  /** A tax or registration number, as the party wants it printed. */
  readonly registration?: string;
}

/** Cash and refunds of one machine, in the order in which machines are to be listed. */
export interface MachineTakings {
  readonly machineTag: string;
  /** The game installed; empty when none was. */
  readonly game: string;
  readonly coinMinor: bigint;
  readonly noteMinor: bigint;
  /**
   * Card and phone payments; tokens at the value the agreement gives them; what meters imply beyond the counted cash, and
   * stolen cash made good. Each is a column only where a machine has some.
   */
  readonly cashlessMinor: bigint;
  readonly tokenMinor: bigint;
  readonly adjustmentMinor: bigint;
  /** Given back to players; positive. */
  readonly refundsMinor: bigint;
  /** All takings less refunds. */
  readonly netMinor: bigint;
}

/** What one meter of a machine showed when its box was emptied for the last time in the period, and at the reading before the first of these. */
export interface MeterLine {
  readonly machineTag: string;
  readonly meter: string;
  readonly beforeValue: bigint | undefined;
  readonly lastValue: bigint;
  readonly readOn: LocalDate;
}

/** One component of a tax. */
export interface TaxLine {
  readonly label: string;
  /** How the amount came about, for instance "6.25 % inside 4,120.00"; already in the statement's language. */
  readonly detail?: string;
  readonly amountMinor: bigint;
}

export interface ChargeLine {
  readonly label: string;
  readonly detail?: string;
  /** Who gets it. */
  readonly party: string;
  readonly amountMinor: bigint;
}

export interface ShareLine {
  readonly party: string;
  /** Exact percentage as a decimal text, `45` or `33.3333`; absent where bands make it meaningless. */
  readonly percent?: string;
  readonly amountMinor: bigint;
  readonly isPayee: boolean;
}

/**
 * From net takings to shares, once per pool of machines and per version of the terms within the period:
 * net + loss brought forward - tax - charges + loss carried forward = shares.
 */
export interface Waterfall {
  /** Says which machines or which days, where there is more than one. */
  readonly title?: string;
  /** Tags of the machines whose takings these are; absent where the period is cut and they are only part of them. */
  readonly machineTags?: readonly string[];
  readonly netTakingsMinor: bigint;
  /** Zero or negative. */
  readonly lossBroughtForwardMinor: bigint;
  readonly taxes: readonly TaxLine[];
  readonly charges: readonly ChargeLine[];
  /** What is left to split; may be negative. */
  readonly leftMinor: bigint;
  readonly shares: readonly ShareLine[];
  /** Zero or negative: what opens the next period. */
  readonly lossCarriedForwardMinor: bigint;
}

/** A guarantee or cap that moved money between the parties after the split; the amounts sum to zero. */
export interface GuaranteeLine {
  readonly label: string;
  readonly moves: readonly { readonly party: string; readonly amountMinor: bigint; readonly isPayee: boolean }[];
}

export type PayableKind =
  | 'share'
  | 'guarantee'
  | 'charge-in-favour'
  | 'refunds-paid'
  | 'tax-filed'
  | 'break-in'
  | 'cash-handed'
  | 'cash-kept'
  | 'paid-on-account'
  | 'paid-by-payee'
  | 'advance-repaid'
  | 'brought-forward'
  | 'earlier-period'
  | 'other';

/** One step from the share to what is due; signed, in the payee's favour when positive. */
export interface PayableLine {
  readonly kind: PayableKind;
  /** Date, receipt, number of the statement it comes from. Required for `other`, which has no label of its own. */
  readonly detail?: string;
  readonly amountMinor: bigint;
}

/** An issued period that was computed again: each figure as issued, as it is now known, and the difference. */
export interface EarlierPeriod {
  readonly firstDay: LocalDate;
  readonly lastDay: LocalDate;
  /** The statement that first settled that period. */
  readonly statementNumber: string;
  /** Why, in the statement's language: "count of 28 April received late". */
  readonly reason: string;
  readonly lines: readonly { readonly label: string; readonly issuedMinor: bigint; readonly nowMinor: bigint }[];
  /** What the change comes to for the payee; also a line of kind `earlier-period` in the payable. */
  readonly forPayeeMinor: bigint;
}

/** A period as its own statement had it. */
export interface RecentPeriod {
  readonly firstDay: LocalDate;
  readonly lastDay: LocalDate;
  /** All takings less refunds. */
  readonly takingsMinor: bigint;
  /** The payee's balance, as in `payableMinor`. */
  readonly payableMinor: bigint;
}

export interface AdvanceBalance {
  readonly openBeforeMinor: bigint;
  readonly repaidMinor: bigint;
  readonly openAfterMinor: bigint;
}

export interface StatementDocument {
  readonly operator: StatementParty;
  readonly site: StatementParty & { readonly code: string };
  /** Whom the statement is for: the owner of the site, or another party of the split. */
  readonly payee: StatementParty;
  /** Letters, digits and `-./` only: it goes into the file's metadata, which has no escaping. */
  readonly statementNumber: string;
  /** First and last day of the period, both included. */
  readonly firstDay: LocalDate;
  readonly lastDay: LocalDate;
  /** The local day of issue, and its instant as RFC 3339 in UTC, which dates the file and the signature. */
  readonly issuedOn: LocalDate;
  readonly issuedAt: string;
  /** BCP 47. */
  readonly locale: string;
  readonly paper: 'A4' | 'Letter';
  /** By which setting of the page it is set, where that is one of before (`attached-page.ts`). */
  readonly pageVersion?: number;
  readonly currency: CurrencyCode;
  /** The terms in plain sentences. */
  readonly terms: readonly string[];
  readonly machines: readonly MachineTakings[];
  /** By machine and meter; left out where no meter was read. */
  readonly meters?: readonly MeterLine[];
  readonly waterfalls: readonly Waterfall[];
  readonly guarantees: readonly GuaranteeLine[];
  readonly payable: readonly PayableLine[];
  /** Sum of `payable`. */
  readonly payableMinor: bigint;
  /** The part of `payableMinor` that is expressly carried to the next statement instead of being paid. */
  readonly carriedForwardMinor: bigint;
  /** `payableMinor` less `carriedForwardMinor`: positive is paid to the payee, negative by the payee. */
  readonly dueMinor: bigint;
  /** How and when it is paid. */
  readonly payment?: string;
  readonly advance?: AdvanceBalance;
  readonly earlierPeriods: readonly EarlierPeriod[];
  /** The periods before this one, the oldest first, at most eleven; with this one they make a chart. */
  readonly recentPeriods: readonly RecentPeriod[];
  /** Where statements can be checked: an address, as a browser takes it. */
  readonly verificationAddress?: string;
  readonly evidence: {
    /** The head of the operator's evidence log before this batch of statements. */
    readonly headSize: number;
    readonly headRoot: string;
    /** SHA-256 of the settlement's canonical JSON; both are lower-case hex. */
    readonly settlementDigest: string;
  };
  readonly cautions: readonly string[];
  /** What is attached for machines beside number, head and digest; a document without it is for looking at only. */
  readonly attached?: AttachedParts;
}

/** What the receiver's own computer needs to compute the figures and set the page anew (`statementAttachmentSchema`). */
export interface AttachedParts {
  readonly settlement: CanonicalValue;
  readonly page: CanonicalValue;
  readonly earlierHead: CanonicalValue;
  /** 2 where left out. */
  readonly format?: number;
  readonly isStamped?: true;
}
