import { dayInWords } from '#contracts/day-in-words';
import type { FieldError } from '#contracts/problem';
import type { SettlementInputs } from '#domain/settlement/inputs';
import type { SettlementResult } from '#domain/settlement/result';
import type { LimitBreach } from '#domain/settlement/types';
import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import { inputsDigestOf } from './compute';
import { documentText } from './document-text';
import type { Loaded } from './inputs/load';
import { errorsOf } from './inputs/obstacle';

/** Why a draft must not go on to the next state; codes of the problem table. */
export type NotFresh = {
  readonly code: 'draft-is-stale' | 'cannot-be-settled' | 'limits-not-kept' | 'journal-closed' | 'flags-open' | 'boxes-not-counted' | 'settlement-held';
  readonly detail: string;
  /** What it is about, one by one. */
  readonly errors?: readonly FieldError[];
};

type Stored = { readonly inputs: string; readonly inputs_digest: Buffer };

/**
 * Compares a stored draft with what is known now, by the digest of the inputs: whatever changed since it was computed, a
 * count, a rate, the terms or a carry, changes the digest. Undefined when the draft stands as it is.
 */
export function whyNotFresh(stored: Stored, result: SettlementResult, loaded: Loaded): NotFresh | undefined {
  if ('obstacle' in loaded.from) return { code: 'cannot-be-settled', detail: loaded.from.obstacle.message, errors: errorsOf(loaded.from.obstacle) };
  const { inputs } = loaded.from;
  if (!inputsDigestOf(inputs).equals(stored.inputs_digest)) {
    return { code: 'draft-is-stale', detail: `Changed since the draft: ${changedParts(stored.inputs, inputs).join(', ')}.` };
  }
  const [breach] = result.breaches;
  return breach === undefined ? undefined : { code: 'limits-not-kept', detail: breachInWords(breach, inputs.currency) };
}

/** The limit with its figures and its source, so that whoever is kept from reviewing can look it up. */
export function breachInWords({ kind, allowedMinor, actualMinor, source, changedPeriod }: LimitBreach, currency: CurrencyCode): string {
  const [allowed, actual] = [allowedMinor, actualMinor].map((minor) => `${formatMinor(minor, currency)} ${currency}`);
  const words = {
    'highest-site-share': `Highest share of the site: it gets ${actual} and may have ${allowed} at most`,
    'fixed-split': `Split fixed by law: the site gets ${actual} and has a right to ${allowed}`,
    'no-advances': `No advances: ${actual} of one are paid off here`,
  } as const;
  const where = changedPeriod === undefined ? '' : `Period from ${dayInWords(changedPeriod.from)}, with what has changed since it was issued. `;
  return `${where}${words[kind]} (${source}).`;
}

/** Parts of the inputs in words of the trade, for those that differ. */
const partNames = {
  counts: 'counts',
  refundSlips: 'refund slips',
  cashless: 'cashless takings',
  breakIns: 'break-ins',
  machines: 'machines at the site',
  versions: 'terms',
  taxRules: 'tax rules',
  limits: 'limits of the law',
  period: 'days of the period',
} as const;

const wholeNames = {
  carriesIn: 'what the last settlement carried on',
  carriedItems: 'balance brought forward',
  earlier: 'earlier periods',
  advances: 'advances',
  handedCash: 'cash handed over or paid on account',
  kind: 'kind of settlement',
} as const;

function changedParts(storedText: string, now: SettlementInputs): string[] {
  const before = JSON.parse(storedText) as Record<string, unknown> & { current: Record<string, unknown> };
  const after = JSON.parse(documentText({ ...now })) as typeof before;
  const differs = (left: unknown, right: unknown): boolean => JSON.stringify(left) !== JSON.stringify(right);
  const parts = [
    ...Object.entries(partNames).flatMap(([name, words]) => (differs(before.current[name], after.current[name]) ? [words] : [])),
    ...Object.entries(wholeNames).flatMap(([name, words]) => (differs(before[name], after[name]) ? [words] : [])),
  ];
  return parts.length > 0 ? parts : ['the inputs'];
}
