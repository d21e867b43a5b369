/** Guarantees and caps must name parties of the split, and must not contradict each other. */
import { checkAmount, problem, repeatedIndexes, type TermsProblem } from '#domain/terms/problems';
import { operatorIn } from '#domain/terms/parties';
import { shareLists } from '#domain/terms/check-split';
import type { Guarantee, PartyId, Terms } from '#domain/terms/types';

export function checkGuarantees(terms: Terms): TermsProblem[] {
  const inSplit = new Set(shareLists(terms.split).flatMap(({ shares }) => shares.map((share) => share.party)));
  return [
    ...terms.guarantees.flatMap((guarantee, index) => checkGuarantee(terms, guarantee, { pointer: `/guarantees/${index}`, inSplit })),
    ...repeatedIndexes(terms.guarantees, (guarantee) => guarantee.id).map((index) => problem(`/guarantees/${index}/id`, 'id-used-twice')),
    ...repeatedIndexes(terms.guarantees, (guarantee) => JSON.stringify([guarantee.kind, guarantee.party, guarantee.scope])).map((index) =>
      problem(`/guarantees/${index}`, 'guarantee-given-twice'),
    ),
    ...circles(terms.guarantees),
    ...contradictions(terms.guarantees),
  ];
}

function checkGuarantee(
  terms: Terms,
  guarantee: Guarantee,
  { pointer, inSplit }: { pointer: string; inSplit: ReadonlySet<PartyId> },
): TermsProblem[] {
  const operator = operatorIn(terms);
  return [
    ...(inSplit.has(guarantee.party) ? [] : [problem(`${pointer}/party`, 'party-not-in-split', { party: guarantee.party })]),
    ...checkAmount(`${pointer}/amountMinor`, guarantee.amountMinor, 0n),
    ...(guarantee.scope === 'machine' && terms.grouping !== 'machine' ? [problem(`${pointer}/scope`, 'machine-has-no-pool-of-its-own')] : []),
    ...(guarantee.kind === 'at-least' && guarantee.from === 'operator' && guarantee.party === operator
      ? [problem(`${pointer}/from`, 'guarantee-from-itself')]
      : []),
    ...(guarantee.kind === 'at-most' ? checkExcess(terms, guarantee.party, guarantee.excessTo, pointer) : []),
  ];
}

function checkExcess(terms: Terms, party: PartyId, excessTo: PartyId, pointer: string): TermsProblem[] {
  if (!terms.parties.some((known) => known.id === excessTo)) return [problem(`${pointer}/excessTo`, 'party-unknown', { party: excessTo })];
  return party === excessTo ? [problem(`${pointer}/excessTo`, 'guarantee-from-itself')] : [];
}

/** Caps are tested one after the other: one whose excess comes back by way of others would leave somebody above a cap of its own. */
function circles(guarantees: readonly Guarantee[]): TermsProblem[] {
  const goesTo = new Map<PartyId, PartyId[]>();
  const leadsTo = (from: PartyId, to: PartyId, seen: ReadonlySet<PartyId> = new Set()): boolean =>
    from === to || (!seen.has(from) && (goesTo.get(from) ?? []).some((next) => leadsTo(next, to, new Set([...seen, from]))));
  return guarantees.flatMap((guarantee, index) => {
    if (guarantee.kind !== 'at-most' || guarantee.excessTo === guarantee.party) return [];
    const { party, excessTo } = guarantee;
    const isClosed = leadsTo(excessTo, party);
    goesTo.set(party, [...(goesTo.get(party) ?? []), excessTo]);
    return isClosed ? [problem(`/guarantees/${index}/excessTo`, 'excess-in-a-circle')] : [];
  });
}

function contradictions(guarantees: readonly Guarantee[]): TermsProblem[] {
  return guarantees.flatMap((least, index) => {
    if (least.kind !== 'at-least') return [];
    const cap = guarantees.find(
      (most) => most.kind === 'at-most' && most.party === least.party && most.scope === least.scope && most.per === least.per,
    );
    return cap !== undefined && cap.amountMinor < least.amountMinor
      ? [problem(`/guarantees/${index}/amountMinor`, 'guarantee-above-cap', { cap: cap.amountMinor.toString() })]
      : [];
  });
}
