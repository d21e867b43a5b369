import type { WrongField } from '#contracts/outcome';
import { fromTerms, termsSchema, toTerms, type TermsChanges, type TermsDocument } from '#contracts/terms';
import type { WhatIf } from '#contracts/what-if';
import type { AgreementVersion, Terms } from '#domain/terms/types';
import type { z } from 'zod';
import { termsProblems, type TermsPlace } from '../agreement/check-terms';
import { sameCycle } from '../agreement/cycle-change';

/** By which terms that are meant for several sites name the party of each. */
const SITE = 'site';

export type OtherTerms = { readonly ok: true; readonly terms: Terms; readonly document: TermsDocument } | { readonly ok: false; readonly wrong: readonly WrongField[] };

/**
 * The terms that would have stood in the place of a version's. Refused as they would be if somebody wanted to sign them,
 * and where they would have cut the periods otherwise: what was settled by the month has no figures by the week.
 */
export function otherTerms(asked: Pick<WhatIf, 'terms' | 'changes'>, version: AgreementVersion, place: TermsPlace & { readonly partyId: string }): OtherTerms {
  const member = asked.terms === undefined ? 'changes' : 'terms';
  const merged = asked.terms ?? { ...fromTerms(version.terms), ...given(asked.changes ?? {}) };
  const parsed = termsSchema.safeParse(forSite(merged, place.partyId));
  if (!parsed.success) {
    return { ok: false, wrong: parsed.error.issues.map((issue) => ({ path: [member, ...issue.path.map(step)], code: codeOf(issue), message: issue.message })) };
  }
  const document = parsed.data;
  const terms = toTerms(document);
  const wrong = [
    ...termsProblems(document, place).map((each) => ({ ...each, path: [member, ...each.path.slice(1)] })),
    ...(sameCycle(terms.cycle, version.terms.cycle) ? [] : [{ path: [member, 'cycle'], code: 'other-cycle', message: 'The periods stay as they were settled: the cycle is that of the agreement.' }]),
  ];
  return wrong.length > 0 ? { ok: false, wrong } : { ok: true, terms, document };
}

const step = (key: PropertyKey): string | number => (typeof key === 'number' ? key : String(key));

/** The form was checked with the request; what is left depends on the currency of the agreement, as an amount's digits do. */
function codeOf(issue: z.core.$ZodIssue): string {
  const code: unknown = issue.code === 'custom' ? issue.params?.['code'] : undefined;
  return typeof code === 'string' ? code : 'not-valid';
}

/** Optional members that are absent, not undefined, so that they do not hide what the version says. */
function given(changes: TermsChanges): Partial<TermsDocument> {
  return Object.fromEntries(Object.entries(changes).filter(([, value]) => value !== undefined));
}

/** Puts the agreement's party wherever the document says `site`. */
function forSite(document: TermsDocument, partyId: string): TermsDocument {
  const own = (party: string): string => (party === SITE ? partyId : party);
  const ownShares = <Share extends { readonly party: string }>(list: readonly Share[]): Share[] => list.map((share) => ({ ...share, party: own(share.party) }));
  const { split } = document;
  return {
    ...document,
    parties: document.parties.map((party) => ({ ...party, id: own(party.id) })),
    charges: document.charges.map((charge) => ({ ...charge, to: own(charge.to) })),
    split:
      split.kind === 'shares'
        ? { ...split, shares: ownShares(split.shares) }
        : { ...split, bands: split.bands.map((band) => ({ ...band, shares: ownShares(band.shares) })) },
    guarantees: document.guarantees.map((guarantee) =>
      guarantee.kind === 'at-most' ? { ...guarantee, party: own(guarantee.party), excessTo: own(guarantee.excessTo) } : { ...guarantee, party: own(guarantee.party) },
    ),
  };
}
