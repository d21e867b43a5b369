import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import type { Formula, LineKind, RuleRef } from '#domain/settlement/lines';
import { englishTerms } from '#domain/terms/catalogue-english';
import { plainTermsAt, type Writing } from '#domain/terms/plain-language';
import type { AgreementVersion } from '#domain/terms/types';

/** What a figure is called. `{title}` is the charge's or tax component's own name. */
export const lineLabels: { readonly [kind in LineKind]: string } = {
  cash: 'Cash counted',
  'metered-difference': 'Cash that the meters show beyond the count',
  tokens: 'Tokens at their value',
  cashless: 'Cashless takings',
  'break-in': 'Stolen cash made good',
  refund: 'Refunds to players',
  'net-takings': 'Net takings',
  'tax-base': 'Base of the tax',
  'tax-taxable': 'Takings without the tax',
  tax: 'Tax: {title}',
  'tax-of-machine': 'Tax of the machine: {title}',
  'operator-tax': 'Tax borne by the operator: {title}',
  'loss-in': 'Loss brought forward',
  'pool-opening': 'Net takings less tax, with what was brought forward',
  charge: 'Charge: {title}',
  'charge-rest': 'Charge not reached: {title}',
  'pool-left': 'Left to share',
  share: 'Share',
  'loss-out': 'Loss carried forward',
  guarantee: 'Guarantee or cap',
  'payee-share': 'Share',
  'payee-charge': 'Charges in favour',
  'payee-refund': 'Refunds paid',
  'payee-tax': 'Tax to file',
  'payee-break-in': 'Stolen cash to make good',
  'payee-handed-cash': 'Received before the settlement',
  'payee-advance': 'Advance repaid',
  'payee-carried-in': 'Balance brought forward',
  payable: 'To be paid',
};

/** How a figure came about, in a sentence. */
export const formulaSentences: { readonly [formula in Formula]: string } = {
  'sum-of-counts': 'The counts of the machine, added up.',
  'metered-less-counted': 'The cash that the meters imply, less the cash that was counted.',
  'tokens-at-value': 'Tokens by number, times the value that the agreement gives them.',
  'cashless-less-refunded': 'What the card reader reported, less what was refunded by card.',
  'break-in-made-good': 'The stolen cash that the meters imply, made good by the party that bears it.',
  'sum-of-slips': 'The refund slips presented at the collections, added up.',
  'takings-less-refunds': 'All takings of the machine, less the refunds.',
  'base-of-rule': 'The net takings of the machines that the tax rule covers.',
  'base-without-tax': 'The base divided by one plus the sum of the rates, rounded to the unit.',
  'tax-first-component-takes-rest': 'What is left of the whole tax after the other components.',
  'taxable-times-rate': 'The takings without tax, times the rate, rounded to the unit.',
  'base-times-rate': 'The base times the rate, rounded to the unit.',
  'tax-fixed-by-days': 'An amount per machine, for the days that its counts cover.',
  'tax-fixed-when-due': 'An amount per machine, whole in the period in which it falls due.',
  'tax-capped': 'Not more than the cap per machine and month, for the days covered.',
  'tax-set-against-carried': 'Set against a negative amount of the same tax from before.',
  'tax-not-below-zero': 'It would have come out below zero, so it is zero.',
  allocated: 'A part of the whole, by positive net takings; parts add up to the whole.',
  'carried-from-before': 'Carried on by the settlement before.',
  opening: 'Net takings less the tax before the split, plus the loss brought forward.',
  'amount-by-days': 'An amount per week, month or year, for the days covered that no settlement has charged before.',
  'amount-once': 'An amount per period, whole.',
  'amount-per-visit': 'An amount for each visit.',
  percentage: 'A percentage, rounded to the unit.',
  'at-most-what-is-left': 'Not more than what was left at that moment.',
  'left-after-charges': 'What is left after tax and charges.',
  'share-by-percent': 'What is left, divided by the agreed percentages; the last units go to the largest remainders.',
  'share-by-bands': 'What is left, divided by the shares of the bands that it reaches.',
  'loss-carried': 'Nothing is left to share; the loss opens the next period.',
  'guarantee-shortfall': 'Moved so that the guaranteed amount is reached.',
  'guarantee-excess': 'What exceeds the agreed cap goes to another party.',
  'sum-of-lines': 'The lines named below, added up.',
  'handed-at-collection': 'Received already: handed over at a collection, or paid on account; what the payee itself paid on account is added.',
  'advance-recouped': 'Repaid on an open advance, out of the share.',
  'no-longer-there': 'What was issued before and is not there any more.',
};

/** A line of a difference says this before how the present figure came about. */
export function changeSentence(change: { issued: string; now: string }): string {
  return `Issued before: ${change.issued}. Now: ${change.now}. The difference is settled here.`;
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
  return `Terms in force from ${version.startsOn}${said === '' ? '' : `: ${said}`}`;
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
