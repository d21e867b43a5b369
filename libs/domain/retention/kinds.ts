import { lawOfKeeping, type KeptByLaw } from './law';

/**
 * Kinds of records that go when their time is over. Everything else stays for as long as the operator exists: what is issued never
 * changes, and whoever corrects an old period must find all that is corrected.
 */
export const retentionKinds = ['invitations', 'mails', 'webhooks', 'imports', 'originals', 'machine-reports', 'audit-trail'] as const;
export type RetentionKind = (typeof retentionKinds)[number];

/**
 * How a kind is counted. Years are full years after the end of the year in which a record was made, as the laws count (AO § 147 (4));
 * their number comes from the law. Days run from the record itself; how many is common practice, without a source.
 */
type KindOfKeeping = { readonly unit: 'years'; readonly law: KeptByLaw } | { readonly unit: 'days'; readonly usual: number; readonly least: number };

const kinds: { readonly [kind in RetentionKind]: KindOfKeeping } = {
  // Links by which people were let in, with their addresses.
  invitations: { unit: 'days', usual: 365, least: 30 },
  // That a mail went out, and that a statement was opened: what shows that a letter was sent.
  mails: { unit: 'years', law: 'letters' },
  // Long enough to find out why something was not taken, and to send it again.
  webhooks: { unit: 'days', usual: 60, least: 7 },
  // Lines that never entered the books.
  imports: { unit: 'days', usual: 365, least: 30 },
  // What the books were written from, word for word: read-outs of machines, visits as phones sent them, files for the bank.
  originals: { unit: 'years', law: 'vouchers' },
  'machine-reports': { unit: 'years', law: 'vouchers' },
  // Who changed what is what explains the books.
  'audit-trail': { unit: 'years', law: 'books' },
};

export const LONGEST_KEPT = { days: 36_500, years: 100 } as const;

export type RuleOfKeeping = {
  readonly unit: 'days' | 'years';
  /** What is usual: it holds for days where nobody decided. */
  readonly usual: number;
  /** Nothing goes earlier, whatever was decided. */
  readonly least: number;
  readonly law: KeptByLaw | null;
  /** Whether `least` holds a year more than the law says, because an accounting year may end within a calendar year. */
  readonly isYearAdded: boolean;
  /** Paragraphs; null where it is common practice, or no law of the country is known. */
  readonly source: string | null;
};

export function ruleOfKeeping(kind: RetentionKind, country: string): RuleOfKeeping {
  const rule = kinds[kind];
  if (rule.unit === 'days') return { ...rule, law: null, isYearAdded: false, source: null };
  const { years, source, countsFrom, isKnown } = lawOfKeeping(country);
  return { unit: 'years', usual: years[rule.law], least: years[rule.law], law: rule.law, isYearAdded: countsFrom === 'accounting-year', source: isKnown ? source : null };
}

/**
 * For how long a kind is kept: as decided, but never shorter than the law of the country asks for now. Null: for as long as the
 * operator exists. `decided` is undefined where nobody decided: what a law speaks of stays until somebody has.
 */
export function keptFor(rule: RuleOfKeeping, decided: number | null | undefined): number | null {
  if (decided === null || (decided === undefined && rule.law !== null)) return null;
  return Math.max(decided ?? rule.usual, rule.least);
}
