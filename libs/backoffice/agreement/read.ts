import type { Agreement, AgreementListQuery, CheckedTerms, CheckTerms } from '#contracts/agreement';
import { formatInstant } from '#contracts/format';
import { bodyField, done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import { localDate } from '#domain/calendar/local-date';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { containsPattern, sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectSite } from '../site/site.sql';
import { limitsAtSite } from '../tax/limits-at-site';
import { selectAgreement, selectAgreements } from './agreement.sql';
import { termsProblems, type TermsPlace } from './check-terms';
import { termsInWords } from './sentences';
import { toAgreement } from './to-agreement';
import { writingFor } from './writing';

/** One agreement. */
export async function readAgreement(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Agreement>> {
  return perform(deps, caller, 'agreement.read', async ({ tx, refusal }) => {
    const row = await selectAgreement(tx, query.id);
    if (row === null) return refused('not-found');
    return refusal({ siteId: row.site_id }) ?? done(toAgreement(row));
  });
}

const cursorSchema = z.tuple([z.string()]);

/** Agreements by code. */
export async function listAgreements(deps: Backoffice, caller: Caller, query: AgreementListQuery): Promise<Outcome<Page<Agreement>>> {
  return perform(deps, caller, 'agreement.read', async ({ tx, visibleSites }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectAgreements(tx, {
      after: after?.[0] ?? null,
      limit: query.limit,
      pattern: containsPattern(query.search),
      siteId: query.siteId ?? null,
      partyId: query.partyId ?? null,
      on: query.on ?? null,
      siteIds: sitesFilter(visibleSites()),
    });
    return done(toPage({ rows, limit: query.limit, item: toAgreement, keyOf: (row) => [row.code] }));
  });
}

/** Says what would keep terms from being signed, and what they say in plain words. Writes nothing. */
export async function checkTerms(deps: Backoffice, caller: Caller, command: CheckTerms): Promise<Outcome<CheckedTerms>> {
  const { terms } = command;
  return perform(deps, caller, 'agreement.create', async ({ tx, now }) => {
    const place = await placeFor(tx, command, now);
    if (!place.ok) return place;
    const problems = termsProblems(terms, place.value).map(({ path, code, message }) => ({ ...bodyField(path), code, message }));
    if (problems.length > 0) return done({ problems, sentences: [] });
    const partyIds = terms.parties.map(({ id }) => id).filter((id) => z.uuid().safeParse(id).success);
    return done({ problems, sentences: termsInWords(terms, await writingFor(tx, { partyIds, language: caller.language })) });
  });
}

/** What is known of the place for which the terms are meant: an agreement, a site, or nothing yet. */
async function placeFor(tx: TenantTransaction, { terms, siteId, agreementId, effectiveFrom }: CheckTerms, now: Date): Promise<Outcome<TermsPlace>> {
  // Without a day they are meant for now; a day more or less by the clock of the place is nothing to a limit of the law.
  const on = effectiveFrom ?? localDate(formatInstant(now).slice(0, 10));
  const limitsOn = (atSiteId: string) => limitsAtSite(tx, { siteId: atSiteId, on });
  if (agreementId !== undefined) {
    const agreement = await selectAgreement(tx, agreementId);
    if (agreement === null) return refusedFields('invalid-command', [{ path: ['agreementId'], code: 'unknown', message: 'There is no agreement with this id.' }]);
    const { currency, party_id: partyId, other_party_ids: otherPartyIds } = agreement;
    return done({ currency, partyId, otherPartyIds, limits: await limitsOn(agreement.site_id) });
  }
  if (siteId === undefined) return done({ currency: terms.currency, partyId: null, otherPartyIds: null, limits: [] });
  const site = await selectSite(tx, siteId);
  if (site === null) return refusedFields('invalid-command', [{ path: ['siteId'], code: 'unknown', message: 'There is no site with this id.' }]);
  return done({ currency: site.currency, partyId: null, otherPartyIds: null, limits: await limitsOn(siteId) });
}
