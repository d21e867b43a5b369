/** The texts of the page in one language, and how that language writes numbers and dates. */
import type { PayableKind } from '#statement/document';
import type { TermsCatalogue } from '#domain/terms/plain-language';

/** Why an earlier period was computed again; `before`: because of another one before it. */
export type EarlierReason = 'collection' | 'correction' | 'handed' | 'cashless' | 'break-in' | 'end' | 'terms' | 'tax' | 'before';

export interface StatementWords {
  readonly title: string;
  readonly facts: { readonly number: string; readonly period: string; readonly issued: string; readonly currency: string };
  readonly payee: string;
  readonly site: string;
  readonly siteCode: (code: string) => string;
  readonly registration: (registration: string) => string;
  readonly terms: string;
  readonly outcome: { readonly paidToPayee: string; readonly paidByPayee: string; readonly nothing: string; readonly carried: string };
  readonly takings: {
    readonly title: string;
    readonly machine: string;
    readonly game: string;
    readonly coins: string;
    readonly notes: string;
    readonly cashless: string;
    readonly tokens: string;
    readonly adjustments: string;
    readonly refunds: string;
    readonly net: string;
    readonly total: string;
    readonly none: string;
  };
  readonly meters: { readonly title: string; readonly meter: string; readonly before: string; readonly last: string; readonly readOn: string; readonly none: string };
  readonly sharing: {
    readonly title: string;
    readonly netTakings: string;
    readonly lossBroughtForward: string;
    readonly lossCarriedForward: string;
    readonly tax: (label: string) => string;
    readonly chargeTo: (party: string) => string;
    readonly left: string;
    readonly shareOf: (party: string) => string;
    readonly percent: (percent: string) => string;
    readonly guarantees: string;
    readonly guaranteeFor: (party: string) => string;
    readonly guaranteeAtLeast: (about: { party: string; amount: string; per: string }) => string;
    readonly guaranteeAtMost: (about: { party: string; amount: string; per: string }) => string;
    /** Where a share is no single percentage: of the terms, which stand above. */
    readonly byBands: string;
    /** Which pool a table is about, and under which terms. */
    readonly poolOfMachine: (tag: string) => string;
    readonly termsSince: (date: string) => string;
  };
  /** How a tax came about. */
  readonly taxBasis: {
    readonly inside: (about: { percent: string; taxable: string | undefined }) => string;
    readonly onTakings: (about: { percent: string; base: string | undefined }) => string;
    readonly capped: (about: { percent: string; cap: string }) => string;
    readonly fixed: (about: { amount: string; per: 'month' | 'year' }) => string;
  };
  readonly chargeRestSince: (date: string) => string;
  /** How and until when it is paid to the payee, and until when by them; `by`: a day, where the operator names one. */
  readonly payment: {
    readonly toPayee: (payment: { how: 'bank' | 'cash' | undefined; by: string | undefined }) => string | undefined;
    readonly byPayee: (by: string) => string;
  };
  readonly paidInCoin: (amount: string) => string;
  readonly earlier: {
    readonly title: (period: string, statementNumber: string) => string;
    readonly asIssued: string;
    readonly now: string;
    readonly change: string;
    readonly forPayee: (payee: string) => string;
    readonly reasons: Readonly<Record<EarlierReason, string>>;
  };
  readonly payable: {
    readonly title: string;
    /** Where the balance is the operator's. */
    readonly titleOwed: string;
    readonly kinds: Readonly<Record<Exclude<PayableKind, 'other'>, string>>;
    readonly total: string;
    readonly carriedForward: string;
    readonly due: string;
  };
  readonly table: {
    readonly line: string;
    readonly item: string;
    readonly basis: string;
    readonly amount: string;
    readonly carriedForward: string;
    readonly broughtForward: string;
  };
  readonly lines: (first: number, last: number) => string;
  readonly and: string;
  readonly chart: { readonly title: string; readonly balance: string };
  readonly advance: { readonly title: string; readonly text: (balance: { before: string; repaid: string; after: string }) => string };
  readonly cautions: string;
  readonly cautionTexts: {
    readonly taxAndLaw: string;
    /** `source`: where the law stands; empty where it cannot be printed. */
    readonly highestSiteShare: (about: { percent: string; source: string }) => string;
    readonly fixedSplit: (about: { operator: string; site: string; source: string }) => string;
    readonly noAdvances: (about: { source: string }) => string;
    /** The limits that are not said one by one; all are in the attached figures. */
    readonly moreLimits: (count: number) => string;
    readonly taxYouFile: (amount: string) => string;
    readonly notEmptied: (machines: string) => string;
    readonly notRead: (machines: string) => string;
    readonly breakIn: string;
    readonly earlier: string;
  };
  readonly proof: {
    readonly title: string;
    readonly text: (headSize: string) => string;
    readonly head: string;
    readonly digest: string;
    /** Beside the code that opens the page for checking, and what is read instead of it. */
    readonly code: string;
    readonly codeAlternative: (address: string) => string;
  };
  readonly page: (page: number, pages: number) => string;
  readonly continued: (statementNumber: string) => string;
  /** Another statement, by its number. */
  readonly statement: (statementNumber: string) => string;
  readonly months: readonly string[];
  /** A day with its month in letters, so that nobody takes 5/6 for another day; the year may be said elsewhere. */
  readonly day: (date: { day: number; month: string; year: string | undefined; order: Conventions['dateOrder'] }) => string;
  /** From one day of a month to another. */
  readonly days: (dates: { first: number; last: number; month: string; year: string; order: Conventions['dateOrder'] }) => string;
  /** For the terms in plain sentences. */
  readonly termsCatalogue: TermsCatalogue;
}

/** How a region writes numbers and dates. Kept here and not asked of the runtime, whose data changes with its version: the same statement must give the same bytes for years. */
export interface Conventions {
  readonly decimalMark: string;
  readonly groupMark: string;
  readonly dateOrder: 'day-month-year' | 'month-day-year';
}

export interface StatementLanguage {
  /** BCP 47, of the words that are used: what reads the page aloud goes by it. */
  readonly tag: string;
  readonly words: StatementWords;
  readonly conventions: Conventions;
}
