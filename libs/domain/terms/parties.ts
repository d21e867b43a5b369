/** Who is who in the terms. */
import type { PartyId, Terms } from '#domain/terms/types';

/** The operator of terms that were not checked yet. */
export function operatorIn(terms: Terms): PartyId | undefined {
  return terms.parties.find((party) => party.role === 'operator')?.id;
}

/** The site of terms that were not checked yet. */
export function siteIn(terms: Terms): PartyId | undefined {
  return terms.parties.find((party) => party.role === 'site')?.id;
}

export function operatorOf(terms: Terms): PartyId {
  return known(operatorIn(terms));
}

export function siteOf(terms: Terms): PartyId {
  return known(siteIn(terms));
}

function known(party: PartyId | undefined): PartyId {
  if (party === undefined) throw new Error('Terms need an operator and a site: checkTerms refuses them without');
  return party;
}
