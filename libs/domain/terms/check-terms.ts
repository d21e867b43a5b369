/**
 * Whether terms can be computed and are allowed at the place. What the type cannot say is said here; terms that pass
 * can be settled whatever comes out of the boxes.
 */
import type { CurrencyCode } from '#domain/money/currency';
import { checkGuarantees } from '#domain/terms/check-guarantees';
import { checkLaw } from '#domain/terms/check-law';
import { checkSplit } from '#domain/terms/check-split';
import { checkAmount, checkPercent, problem, repeatedIndexes, type TermsProblem } from '#domain/terms/problems';
import type { Charge, Terms } from '#domain/terms/types';
import type { LawLimit } from '#domain/tax/types';

export interface TermsContext {
  /** The site's one currency. */
  readonly currency: CurrencyCode;
  /** Limits of the site's tax areas that are in force while the terms are. */
  readonly limits: readonly LawLimit[];
}

/** All problems at once, in the order of the document; none: the terms may be signed. */
export function checkTerms(terms: Terms, context: TermsContext): TermsProblem[] {
  const parties = new Set(terms.parties.map((party) => party.id));
  return [
    ...(terms.currency === context.currency ? [] : [problem('/currency', 'currency-not-of-the-site', { currency: context.currency })]),
    ...checkParties(terms),
    ...checkCycle(terms),
    ...terms.tokens.flatMap((token, index) => checkAmount(`/tokens/${index}/valueMinor`, token.valueMinor, 0n)),
    ...repeatedIndexes(terms.tokens, (token) => token.tokenId).map((index) => problem(`/tokens/${index}/tokenId`, 'token-listed-twice')),
    ...terms.charges.flatMap((charge, index) => checkCharge(charge, `/charges/${index}`, parties)),
    ...repeatedIndexes(terms.charges, (charge) => charge.id).map((index) => problem(`/charges/${index}/id`, 'id-used-twice')),
    ...checkSplit(terms.split, parties),
    ...checkGuarantees(terms),
    ...checkAdvances(terms),
    ...checkAmount('/payout/smallestMinor', terms.payout.smallestMinor, 0n),
    ...(terms.payout.smallestCoinMinor === null ? [] : checkAmount('/payout/smallestCoinMinor', terms.payout.smallestCoinMinor, 1n)),
    ...checkLaw(terms, context.limits),
  ];
}

function checkParties({ parties }: Terms): TermsProblem[] {
  const withRole = (role: 'operator' | 'site'): number => parties.filter((party) => party.role === role).length;
  return [
    ...(withRole('operator') === 1 ? [] : [problem('/parties', 'needs-one-operator')]),
    ...(withRole('site') === 1 ? [] : [problem('/parties', 'needs-one-site')]),
    ...repeatedIndexes(parties, (party) => party.id).map((index) => problem(`/parties/${index}/id`, 'party-listed-twice')),
  ];
}

function checkCycle({ cycle }: Terms): TermsProblem[] {
  if (cycle.kind !== 'week' || [1, 2, 3, 4, 5, 6, 7].includes(cycle.startsOnWeekday)) return [];
  return [problem('/cycle/startsOnWeekday', 'weekday-out-of-range')];
}

function checkCharge(charge: Charge, pointer: string, parties: ReadonlySet<string>): TermsProblem[] {
  const { amount } = charge;
  return [
    ...(charge.title.trim() === '' ? [problem(`${pointer}/title`, 'title-missing')] : []),
    ...(parties.has(charge.to) ? [] : [problem(`${pointer}/to`, 'party-unknown', { party: charge.to })]),
    ...(amount.kind === 'amount'
      ? checkAmount(`${pointer}/amount/amountMinor`, amount.amountMinor, 1n)
      : checkPercent(`${pointer}/amount/percent`, amount.percent, { zeroAllowed: false })),
    // What is left is known per pool; a machine in a common pool has no remainder of its own.
    ...(amount.kind === 'percentage' && amount.of === 'what-is-left' && charge.scope === 'machine'
      ? [problem(`${pointer}/scope`, 'machine-has-no-pool-of-its-own')]
      : []),
  ];
}

function checkAdvances({ advances }: Terms): TermsProblem[] {
  switch (advances.kind) {
    case 'none':
      return [];
    case 'fixed':
      return checkAmount('/advances/amountMinor', advances.amountMinor, 1n);
    case 'percentage':
      return checkPercent('/advances/percent', advances.percent, { zeroAllowed: false });
  }
}
