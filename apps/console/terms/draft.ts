import type { TermsChanges, TermsDocument } from '#contracts/terms';
import { formatMinor } from '#domain/money/amount';
import type { CurrencyCode } from '#domain/money/currency';
import { decimal } from '#domain/money/decimal';
import { asTyped } from '../format/typed-percent';

/**
 * Terms as somebody is typing them: texts that may not be finished. Parties go by the ids of the terms, the site's own
 * party by `site`, so that what was typed fits other sites as well.
 */
export const SITE = 'site';
export const OPERATOR = 'operator';

/** Members of terms that stand in the place of those that were signed. */
export type Changes = Partial<Pick<TermsDocument, keyof TermsChanges>>;

/** The members of terms that decide how much each party has, in the order in which the money runs. */
export const members = ['basis', 'tokens', 'grouping', 'breakIns', 'tax', 'charges', 'split', 'loss', 'guarantees'] as const;
export type Member = (typeof members)[number];

/** Members that decide when money goes to a party and on which day it counts, and not how much it is: they stay as agreed. */
export const staying = ['arrangement', 'cycle', 'cashless', 'advances', 'payout'] as const;

export interface ShareDraft {
  readonly party: string;
  readonly percent: string;
}

export interface BandDraft {
  /** Where it ends; empty in the last one. Each begins where the one before ends, the first at zero. */
  readonly to: string;
  readonly shares: readonly ShareDraft[];
}

type Bands = Extract<TermsDocument['split'], { kind: 'bands' }>;
type ChargeAmount = TermsDocument['charges'][number]['amount'];
type Guarantee = TermsDocument['guarantees'][number];

export interface SplitDraft {
  readonly kind: 'shares' | 'bands';
  readonly shares: readonly ShareDraft[];
  readonly method: Bands['method'];
  readonly scope: Bands['scope'];
  readonly per: Bands['per'];
  readonly bands: readonly BandDraft[];
}

export interface ChargeDraft {
  readonly id: string;
  readonly title: string;
  readonly to: string;
  readonly scope: TermsDocument['charges'][number]['scope'];
  readonly kind: ChargeAmount['kind'];
  /** An amount or a percentage, as `kind` says. */
  readonly figure: string;
  readonly per: Extract<ChargeAmount, { kind: 'amount' }>['per'];
  readonly of: Extract<ChargeAmount, { kind: 'percentage' }>['of'];
  readonly rest: TermsDocument['charges'][number]['rest'];
}

export interface TokenDraft {
  readonly tokenId: string;
  readonly value: string;
}

export interface GuaranteeDraft {
  readonly id: string;
  readonly kind: Guarantee['kind'];
  readonly party: string;
  readonly amount: string;
  readonly per: Guarantee['per'];
  readonly scope: Guarantee['scope'];
  readonly from: Extract<Guarantee, { kind: 'at-least' }>['from'];
  readonly excessTo: string;
}

export interface TermsDraft {
  readonly basis: TermsDocument['basis'];
  readonly tokens: readonly TokenDraft[];
  readonly grouping: TermsDocument['grouping'];
  readonly breakIns: TermsDocument['breakIns']['borneBy'];
  readonly tax: TermsDocument['tax'];
  readonly loss: TermsDocument['loss'];
  readonly split: SplitDraft;
  readonly charges: readonly ChargeDraft[];
  readonly guarantees: readonly GuaranteeDraft[];
}

/** What stands where nothing was agreed yet, or several sites agreed on different terms: halves, and nothing else. */
export function plainestTerms(currency: CurrencyCode): TermsDocument {
  return {
    format: 1,
    currency,
    arrangement: 'machine-lease',
    parties: [{ id: OPERATOR, role: 'operator' }, { id: SITE, role: 'site' }],
    cycle: { kind: 'month' },
    basis: 'counted',
    grouping: 'site',
    tax: { filedBy: 'as-the-rule-says', borneBy: 'as-the-rule-says' },
    tokens: [],
    cashless: 'by-day',
    breakIns: { borneBy: 'all' },
    charges: [],
    split: { kind: 'shares', shares: [{ party: OPERATOR, percent: decimal('50') }, { party: SITE, percent: decimal('50') }] },
    loss: 'carry',
    guarantees: [],
    advances: { kind: 'none' },
    payout: { smallest: formatMinor(0n, currency), negative: 'carry', smallestCoin: null },
  };
}

/** The same terms with the site's party by its role. */
export function forAnySite(terms: TermsDocument): TermsDocument {
  const own = terms.parties.find(({ role }) => role === 'site')?.id;
  return renamed(terms, (party) => (party === own ? SITE : party));
}

/** The same terms with the id of the site's party in the place of its role. */
export function forParty(terms: TermsDocument, partyId: string): TermsDocument {
  return renamed(terms, (party) => (party === SITE ? partyId : party));
}

function renamed(terms: TermsDocument, named: (party: string) => string): TermsDocument {
  const shares = <Share extends ShareDraft>(list: readonly Share[]): Share[] => list.map((each) => ({ ...each, party: named(each.party) }));
  const { split } = terms;
  return {
    ...terms,
    parties: terms.parties.map((party) => ({ ...party, id: named(party.id) })),
    charges: terms.charges.map((charge) => ({ ...charge, to: named(charge.to) })),
    split: split.kind === 'shares' ? { ...split, shares: shares(split.shares) } : { ...split, bands: split.bands.map((band) => ({ ...band, shares: shares(band.shares) })) },
    guarantees: terms.guarantees.map((each) => (each.kind === 'at-most' ? { ...each, party: named(each.party), excessTo: named(each.excessTo) } : { ...each, party: named(each.party) })),
  };
}

export function withChanges(terms: TermsDocument, changes: Changes): TermsDocument {
  return { ...terms, ...changes };
}

export function draftOf(terms: TermsDocument, locale: string): TermsDraft {
  const typed = (text: string): string => asTyped({ text, locale });
  const { split, charges, guarantees } = terms;
  return {
    basis: terms.basis,
    tokens: terms.tokens.map(({ tokenId, value }) => ({ tokenId, value: typed(value) })),
    grouping: terms.grouping,
    breakIns: terms.breakIns.borneBy,
    tax: terms.tax,
    loss: terms.loss,
    split: splitDraft(split, terms.parties.map(({ id }) => id), typed),
    charges: charges.map(({ amount, ...charge }) => ({
      ...charge,
      kind: amount.kind,
      figure: typed(amount.kind === 'amount' ? amount.amount : amount.percent),
      per: amount.kind === 'amount' ? amount.per : 'month',
      of: amount.kind === 'percentage' ? amount.of : 'net-takings',
    })),
    guarantees: guarantees.map(({ amount, ...each }) => ({
      id: each.id, kind: each.kind, party: each.party, per: each.per, scope: each.scope, amount: typed(amount),
      from: each.kind === 'at-least' ? each.from : 'others',
      excessTo: each.kind === 'at-most' ? each.excessTo : OPERATOR,
    })),
  };
}

function splitDraft(split: TermsDocument['split'], parties: readonly string[], typed: (text: string) => string): SplitDraft {
  const all = (shares: readonly ShareDraft[]): ShareDraft[] => forAll(shares.map(({ party, percent }) => ({ party, percent: typed(percent) })), parties);
  const plain = { method: 'marginal', scope: 'agreement', per: 'month' } as const;
  if (split.kind === 'shares') {
    const shares = all(split.shares);
    return { ...plain, kind: 'shares', shares, bands: [{ to: '', shares }, { to: '', shares }] };
  }
  const bands = split.bands.map(({ to, shares }) => ({ to: to === null ? '' : typed(to), shares: all(shares) }));
  return { kind: 'bands', method: split.method, scope: split.scope, per: split.per, bands, shares: bands[0]?.shares ?? all([]) };
}

/** Every party of the agreement has a field, also one that had no share before. */
export function splitForParties(split: SplitDraft, parties: readonly string[]): SplitDraft {
  return { ...split, shares: forAll(split.shares, parties), bands: split.bands.map((band) => ({ ...band, shares: forAll(band.shares, parties) })) };
}

function forAll(shares: readonly ShareDraft[], parties: readonly string[]): ShareDraft[] {
  const strangers = shares.filter(({ party }) => !parties.includes(party));
  return [...parties.map((party) => shares.find((each) => each.party === party) ?? { party, percent: '0' }), ...strangers];
}

/** A key for a new thing beside those that have one. */
export function newKey(taken: readonly { readonly id: string }[]): string {
  let number = taken.length + 1;
  while (taken.some(({ id }) => id === `new-${number}`)) number += 1;
  return `new-${number}`;
}
