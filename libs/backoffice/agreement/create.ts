import type { Agreement, CreateAgreement } from '#contracts/agreement';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { shareSite, type SiteRow } from '../site/site.sql';
import { limitsAtSite } from '../tax/limits-at-site';
import { insertAgreement, selectAgreement, selectKnownParties, selectOverlap } from './agreement.sql';
import { termsProblems } from './check-terms';
import { agreementConstraints, toAgreement } from './to-agreement';
import { insertVersion } from './version.sql';

/** Records an agreement with its first terms. A site has one agreement at a time. */
export async function createAgreement(deps: Backoffice, caller: Caller, command: CreateAgreement): Promise<Outcome<Agreement>> {
  const { siteId, partyId, otherPartyIds, startedOn, terms } = command;
  return perform(
    deps,
    caller,
    'agreement.create',
    async ({ tx, now }) => {
      const site = await shareSite(tx, siteId);
      if (site === null) return refusedFields('invalid-command', [{ path: ['siteId'], code: 'unknown', message: 'There is no site with this id.' }]);
      const wrong = [
        ...(await unknownParties(tx, { partyId, otherPartyIds })),
        ...outsideSite(site, startedOn),
        ...(await otherAgreement(tx, { siteId, startedOn, endedOn: null, exceptId: null, field: 'startedOn' })),
        ...termsProblems(terms, { currency: site.currency, partyId, otherPartyIds, limits: await limitsAtSite(tx, { siteId, on: startedOn }) }),
      ];
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);

      const id = command.id ?? deps.newId();
      await insertAgreement(tx, { id, code: command.code, siteId, partyId, otherPartyIds, startedOn, now });
      await insertVersion(tx, { id: deps.newId(), agreement_id: id, effective_from: startedOn, terms, reason: '', recorded_at: now });
      const row = await selectAgreement(tx, id);
      if (row === null) throw new Error(`agreement ${id} was not stored`);
      return done(toAgreement(row));
    },
    { constraints: agreementConstraints },
  );
}

/** Names the parties that there are not, and an owner that is listed among the others. */
export async function unknownParties(
  tx: TenantTransaction,
  parties: { readonly partyId: string; readonly otherPartyIds: readonly string[] },
): Promise<WrongField[]> {
  const { partyId, otherPartyIds } = parties;
  const known = await selectKnownParties(tx, [partyId, ...otherPartyIds]);
  return [
    ...(known.has(partyId) ? [] : [{ path: ['partyId'], code: 'unknown', message: 'There is no party with this id.' }]),
    ...otherPartyIds.flatMap((id, index): WrongField[] => {
      if (id === partyId) return [{ path: ['otherPartyIds', index], code: 'listed-twice', message: 'This is the party that the agreement is with.' }];
      return known.has(id) ? [] : [{ path: ['otherPartyIds', index], code: 'unknown', message: 'There is no party with this id.' }];
    }),
  ];
}

/** Names the agreement that holds at the site already. */
export async function otherAgreement(
  tx: TenantTransaction,
  days: { siteId: string; startedOn: LocalDate; endedOn: LocalDate | null; exceptId: string | null; field: string },
): Promise<WrongField[]> {
  const other = await selectOverlap(tx, days);
  if (other === null) return [];
  const until = other.ended_on === null ? 'and has no end' : `until ${other.ended_on}`;
  return [{ path: [days.field], code: 'other-agreement', message: `Agreement ${other.code} holds at the site since ${other.started_on} ${until}.` }];
}

function outsideSite(site: SiteRow, startedOn: LocalDate): WrongField[] {
  if (startedOn < site.opened_on) return [{ path: ['startedOn'], code: 'before-site-opened', message: `Site ${site.code} opened on ${site.opened_on}.` }];
  if (site.closed_on === null) return [];
  return [{ path: ['siteId'], code: 'site-closed', message: `Site ${site.code} closed on ${site.closed_on}.` }];
}
