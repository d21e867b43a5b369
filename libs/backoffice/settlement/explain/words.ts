import { dayInWords } from '#contracts/day-in-words';
import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import { englishExplanations } from '#domain/settlement/explanations-english';
import type { RuleRef } from '#domain/settlement/lines';
import { englishTerms } from '#domain/terms/catalogue-english';
import { plainTermsAt, type Writing } from '#domain/terms/plain-language';
import type { AgreementVersion } from '#domain/terms/types';

/** A line of a difference says this before how the present figure came about. */
export function changeSentence(change: { issued: string; now: string }): string {
  return englishExplanations.changed.replace('{issued}', change.issued).replace('{now}', change.now);
}

export type RuleNames = {
  readonly version: (id: string) => AgreementVersion | undefined;
  readonly taxRule: (id: string) => string | undefined;
  readonly writing: Writing;
};

/** The rule of a figure: since when it holds, and what the parties agreed, in its own words. */
export function ruleText(rule: RuleRef, names: RuleNames): string {
  if (rule.of !== 'terms') return names.taxRule(rule.ruleId) ?? 'Tax rule';
  const version = names.version(rule.versionId);
  if (version === undefined) return 'Terms in force from an earlier day';
  const said = plainTermsAt(version.terms, rule.pointer, names.writing).join(' ');
  return `Terms in force from ${dayInWords(version.startsOn)}${said === '' ? '' : `: ${said}`}`;
}

/** How an explanation and the sentences of the terms beside it are written. */
export function writingOf({ currency, partyName }: { readonly currency: CurrencyCode; readonly partyName: (party: string) => string }): Writing {
  return {
    catalogue: englishTerms,
    party: partyName,
    amount: (minor) => `${formatMinor(minor, currency)} ${currency}`,
    // A number and its sign stay on one line.
    percent: (percent) => `${percent}\u00a0%`,
    date: (date) => date,
  };
}
