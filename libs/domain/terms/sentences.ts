/**
 * Terms said in plain sentences, as data: a code per sentence and what is filled in. A catalogue per language turns
 * them into text, so that no language is baked into the domain.
 */
import { amount, party, phrase, sentence, type Sentence } from '#domain/terms/sentence-parts';
import type { Charge, Guarantee, Split, Terms } from '#domain/terms/types';

/** The terms in the order in which the money runs through them. */
export function termsSentences(terms: Terms): Sentence[] {
  return [
    sentence(`arrangement-${terms.arrangement}`),
    cycleSentence(terms),
    sentence(`basis-${terms.basis}`),
    ...groupingSentences(terms),
    ...tokenSentences(terms),
    ...cashlessSentences(terms),
    sentence(`break-in-${terms.breakIns.borneBy}`),
    ...taxSentences(terms),
    ...terms.charges.flatMap((charge) => chargeSentences(terms, charge)),
    ...splitSentences(terms.split, terms.charges.length > 0),
    lossSentence(terms),
    ...terms.guarantees.map(guaranteeSentence),
    ...advanceSentences(terms),
    ...payoutSentences(terms),
  ];
}

/** What the terms say at one of their members, by its JSON pointer; nothing where only another choice would be said. */
export function sentencesAt(terms: Terms, pointer: string): Sentence[] {
  const [, member, index] = pointer.split('/');
  switch (member) {
    case 'arrangement':
      return [sentence(`arrangement-${terms.arrangement}`)];
    case 'cycle':
      return [cycleSentence(terms)];
    case 'basis':
      return [sentence(`basis-${terms.basis}`)];
    case 'grouping':
      return groupingSentences(terms);
    case 'tokens':
      return tokenSentences(terms);
    case 'cashless':
      return cashlessSentences(terms);
    case 'tax':
      return taxSentences(terms);
    case 'breakIns':
      return [sentence(`break-in-${terms.breakIns.borneBy}`)];
    case 'charges':
      return terms.charges.filter((_charge, at) => at === Number(index)).flatMap((charge) => chargeSentences(terms, charge));
    case 'split':
      return splitSentences(terms.split, terms.charges.length > 0);
    case 'loss':
      return [lossSentence(terms)];
    case 'guarantees':
      return terms.guarantees.filter((_guarantee, at) => at === Number(index)).map(guaranteeSentence);
    case 'advances':
      return advanceSentences(terms);
    case 'payout':
      return payoutSentences(terms);
    default:
      return [];
  }
}

// All machines together is what a reader expects; only the other ways are said.
function groupingSentences({ grouping }: Terms): Sentence[] {
  return grouping === 'site' ? [] : [sentence(`grouping-${grouping}`)];
}

function tokenSentences({ tokens }: Terms): Sentence[] {
  return tokens.map((token) => sentence('token', { token: { kind: 'text', text: token.tokenId }, value: amount(token.valueMinor) }));
}

// By day is what a reader expects.
function cashlessSentences({ cashless }: Terms): Sentence[] {
  return cashless === 'by-collection' ? [sentence('cashless-by-collection')] : [];
}

function lossSentence({ loss }: Terms): Sentence {
  return sentence(loss === 'carry' ? 'loss-carry' : 'loss-share');
}

function cycleSentence({ cycle }: Terms): Sentence {
  switch (cycle.kind) {
    case 'month':
      return sentence('cycle-month');
    case 'four-weeks':
      return sentence('cycle-four-weeks', { anchor: { kind: 'date', date: cycle.anchor } });
    case 'week':
      return sentence('cycle-week', { weekday: phrase(weekdays[cycle.startsOnWeekday - 1] ?? 'weekday-1') });
    case 'visit':
      return sentence('cycle-visit');
  }
}

const weekdays = ['weekday-1', 'weekday-2', 'weekday-3', 'weekday-4', 'weekday-5', 'weekday-6', 'weekday-7'] as const;

function taxSentences({ tax, parties }: Terms): Sentence[] {
  const filer = parties.find((candidate) => candidate.role === tax.filedBy);
  return [
    ...(filer === undefined ? [] : [sentence('tax-filed-by', { party: party(filer.id) })]),
    ...(tax.borneBy === 'as-the-rule-says' ? [] : [sentence(tax.borneBy === 'all' ? 'tax-borne-by-all' : 'tax-borne-by-operator')]),
  ];
}

/** A first call is what the trade calls an amount per time off the top that lapses when the box does not reach it. */
function chargeSentences(terms: Terms, charge: Charge): Sentence[] {
  const { to, title, scope, rest } = charge;
  const common = { party: party(to), title: { kind: 'text', text: title }, scope: phrase(`scope-${scope}`) } as const;
  if (charge.amount.kind === 'percentage') {
    return [
      sentence('charge-percentage', {
        ...common,
        percent: { kind: 'percent', percent: charge.amount.percent },
        of: phrase(`of-${charge.amount.of}`),
      }),
      restSentence(rest),
    ];
  }
  const { per, amountMinor } = charge.amount;
  const isFirstCall =
    terms.charges[0] === charge && rest === 'lapse' && scope === 'agreement' && (per === 'week' || per === 'month' || per === 'period');
  const said = { ...common, amount: amount(amountMinor), per: phrase(`per-${per}`) };
  return isFirstCall ? [sentence('first-call', said)] : [sentence('charge-amount', said), restSentence(rest)];
}

function restSentence(rest: Charge['rest']): Sentence {
  return sentence(rest === 'lapse' ? 'rest-lapses' : 'rest-carried');
}

function splitSentences(split: Split, afterCharges: boolean): Sentence[] {
  if (split.kind === 'shares')
    return [sentence(afterCharges ? 'split-rest-shares' : 'split-shares', { shares: { kind: 'shares', shares: split.shares } })];
  return [
    sentence(split.method === 'marginal' ? 'split-bands-marginal' : 'split-bands-whole', {
      scope: phrase(`scope-${split.scope}`),
      per: phrase(`per-${split.per}`),
    }),
    ...split.bands.map((band) => {
      const said = { from: amount(band.fromMinor), shares: { kind: 'shares', shares: band.shares } } as const;
      return band.toMinor === null ? sentence('last-band', said) : sentence('band', { ...said, to: amount(band.toMinor) });
    }),
  ];
}

function guaranteeSentence(guarantee: Guarantee): Sentence {
  const said = {
    party: party(guarantee.party),
    amount: amount(guarantee.amountMinor),
    per: phrase(`per-${guarantee.per}`),
    scope: phrase(`scope-${guarantee.scope}`),
  };
  if (guarantee.kind === 'at-most') return sentence('at-most', { ...said, excessTo: party(guarantee.excessTo) });
  return sentence(guarantee.from === 'others' ? 'at-least-from-others' : 'at-least-from-operator', said);
}

function advanceSentences({ advances }: Terms): Sentence[] {
  switch (advances.kind) {
    case 'none':
      return [];
    case 'fixed':
      return [sentence('advance-fixed', { amount: amount(advances.amountMinor) })];
    case 'percentage':
      return [sentence('advance-percentage', { percent: { kind: 'percent', percent: advances.percent } })];
  }
}

function payoutSentences({ payout }: Terms): Sentence[] {
  return [
    ...(payout.smallestMinor === 0n ? [] : [sentence('payout-smallest', { amount: amount(payout.smallestMinor) })]),
    sentence(payout.negative === 'carry' ? 'payout-negative-carry' : 'payout-negative-claim'),
    ...(payout.smallestCoinMinor === null ? [] : [sentence('payout-coin', { amount: amount(payout.smallestCoinMinor) })]),
  ];
}
