import type { ExplanationCatalogue } from '#domain/settlement/explanation-catalogue';
import type { RuleRef } from '#domain/settlement/lines';
import { plainTermsAt, type Writing } from '#domain/terms/plain-language';
import type { AgreementVersion } from '#domain/terms/types';
import type { Speech } from './speech';

/** A line of a difference says this before how the present figure came about. */
export function changeSentence({ changed }: ExplanationCatalogue, change: { issued: string; now: string }): string {
  return changed.replace('{issued}', change.issued).replace('{now}', change.now);
}

export type RuleNames = {
  readonly speech: Speech;
  readonly version: (id: string) => AgreementVersion | undefined;
  readonly taxRule: (id: string) => string | undefined;
  readonly writing: Writing;
};

/** The rule of a figure: since when it holds, and what the parties agreed, in its own words. */
export function ruleText(rule: RuleRef, names: RuleNames): string {
  const { labels, day } = names.speech;
  if (rule.of !== 'terms') return names.taxRule(rule.ruleId) ?? labels.taxRule;
  const version = names.version(rule.versionId);
  if (version === undefined) return labels.termsFromEarlier;
  const said = plainTermsAt(version.terms, rule.pointer, names.writing).join(' ');
  return `${labels.termsFrom(day(version.startsOn))}${said === '' ? '' : `: ${said}`}`;
}
