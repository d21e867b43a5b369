/** Who is who in the terms. */
import type { PartyId, Terms } from '#domain/terms/types';

export function operatorOf(terms: Terms): PartyId {
  return partyWithRole(terms, 'operator');
}

export function siteOf(terms: Terms): PartyId {
  return partyWithRole(terms, 'site');
}

function partyWithRole(terms: Terms, role: 'operator' | 'site'): PartyId {
  const party = terms.parties.find((candidate) => candidate.role === role);
  if (party === undefined) throw new Error(`Terms without a party in the role of ${role}: checkTerms refuses them`);
  return party.id;
}
