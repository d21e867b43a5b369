import { useQueries, useQuery } from '@tanstack/react-query';
import { termsSchema, type TermsDocument } from '#contracts/terms';
import { isCurrencyCode, type CurrencyCode } from '#domain/money/currency';
import type { Site } from '../api/shapes';
import type { Question } from '../parts/answer';
import { agreementsOfQuery, partyQuery, versionsOfQuery } from '../sites/queries';
import { useOperator } from '../session/operator';
import { words } from '../words/words';
import { forAnySite, OPERATOR, plainestTerms, SITE } from '../terms/draft';

/** What changed terms are set against: the terms of one site as they stood at the end, or the plainest ones for many. */
export interface Base {
  readonly terms: TermsDocument;
  /** Whether they were agreed, and not only stand for what many have agreed. */
  readonly agreed: boolean;
  readonly parties: readonly { readonly id: string; readonly name: string }[];
}

interface Asking {
  /** Null: all sites. */
  readonly site: Site | null;
  readonly endsBefore: string;
  /** For amounts, where there is no site. */
  readonly currency: CurrencyCode;
}

/** Null where the site has no agreement. */
export function useBase({ site, endsBefore, currency }: Asking): Question<Base | null> {
  const { api, membership } = useOperator();
  const agreements = useQuery({ ...agreementsOfQuery(api, site?.id ?? ''), enabled: site !== null });
  const agreement = agreements.data?.items.toSorted((one, other) => (one.startedOn < other.startedOn ? 1 : -1))[0];
  const versions = useQuery({ ...versionsOfQuery(api, agreement?.id ?? ''), enabled: agreement !== undefined });
  const others = useQueries({ queries: (agreement?.otherPartyIds ?? []).map((id) => partyQuery(api, id)) });
  const names = { ...Object.fromEntries(others.flatMap(({ data }) => (data === undefined ? [] : [[data.id, data.name]]))), [OPERATOR]: membership.name, [SITE]: agreement?.partyName ?? words.terms.site };
  if (site === null) {
    const terms = plainestTerms(currency);
    return { data: { terms, agreed: false, parties: partiesOf(terms, names) }, error: null, isError: false, refetch: () => undefined };
  }
  if (agreements.isError || agreements.data === undefined) return { ...agreements, data: undefined };
  if (agreement === undefined) return { data: null, error: null, isError: false, refetch: () => undefined };
  const version = versions.data?.items.find(({ effectiveFrom, withdrawnAt }) => withdrawnAt === null && effectiveFrom < endsBefore) ?? versions.data?.items[0];
  if (version === undefined) return { ...versions, data: undefined };
  const terms = forAnySite(termsSchema.parse(version.terms));
  return { ...versions, data: { terms, agreed: true, parties: partiesOf(terms, names) } };
}

function partiesOf(terms: TermsDocument, names: Readonly<Record<string, string>>): Base['parties'] {
  const others = terms.parties.filter(({ role }) => role === 'other').map(({ id }) => id);
  return terms.parties.map(({ id }) => ({ id, name: names[id] ?? words.terms.other(others.indexOf(id) + 1) }));
}

/** That of most sites. */
export function commonCurrency(sites: readonly Site[]): CurrencyCode {
  const counts = new Map<string, number>();
  for (const { currency } of sites) counts.set(currency, (counts.get(currency) ?? 0) + 1);
  const [most] = [...counts].sort(([, one], [, other]) => other - one);
  const code = most?.[0] ?? '';
  return isCurrencyCode(code) ? code : 'USD';
}
