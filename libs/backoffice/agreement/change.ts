import type { Agreement, ChangeAgreement, EndAgreement } from '#contracts/agreement';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { shareSite } from '../site/site.sql';
import { insertOtherParties, lockAgreement, selectAgreement, selectAgreementTies, updateAgreement, type AgreementRow } from './agreement.sql';
import { otherAgreement, unknownParties } from './create';
import { insertLateChanges, selectSettledPeriods } from './late-change.sql';
import { sharePeriodsReaching } from './period.sql';
import { agreementConstraints, toAgreement } from './to-agreement';

/** Changes what is said about an agreement beside its terms. Parties are added, never taken away: old terms name them. */
export async function changeAgreement(
  deps: Backoffice,
  caller: Caller,
  command: { readonly id: string; readonly expectedRevision: number; readonly change: ChangeAgreement },
): Promise<Outcome<Agreement>> {
  const { id, expectedRevision, change } = command;
  return perform(
    deps,
    caller,
    'agreement.change',
    async ({ tx, now }) => {
      const before = await lockedAgreement(tx, id);
      if (before === null) return refused('not-found');
      if (before.revision !== expectedRevision) return refused('changed-meanwhile');
      const endedOn = change.endedOn === undefined ? before.ended_on : change.endedOn;
      const otherPartyIds = change.otherPartyIds ?? before.other_party_ids;
      const wrong = [...(await wrongEnd(tx, before, endedOn)), ...(await wrongParties(tx, before, otherPartyIds))];
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const added = otherPartyIds.filter((partyId) => !before.other_party_ids.includes(partyId));
      await insertOtherParties(tx, { agreementId: id, partyIds: added });
      await updateAgreement(tx, { id, code: change.code ?? before.code, endedOn });
      if (endedOn !== null && endedOn !== before.ended_on) await noteEnd(tx, { id, endedOn, now, sourceId: deps.newId() });
      return readBack(tx, id);
    },
    { constraints: agreementConstraints },
  );
}

/** Ends an agreement: from that day on its terms no longer hold. */
export async function endAgreement(deps: Backoffice, caller: Caller, command: { readonly id: string } & EndAgreement): Promise<Outcome<Agreement>> {
  const { id, endedOn } = command;
  return perform(
    deps,
    caller,
    'agreement.end',
    async ({ tx, now }) => {
      const before = await lockedAgreement(tx, id);
      if (before === null) return refused('not-found');
      if (before.ended_on !== null) return refused('wrong-state', { detail: `The agreement ended on ${before.ended_on}.` });
      const wrong = await wrongEnd(tx, before, endedOn);
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      await updateAgreement(tx, { id, code: before.code, endedOn });
      await noteEnd(tx, { id, endedOn, now, sourceId: deps.newId() });
      return readBack(tx, id);
    },
    { constraints: agreementConstraints },
  );
}

/**
 * An end that comes to be known after the period of the last day was numbered: what that settlement carried on as a regular
 * one is paid out by a final one, which the next close makes. `sourceId` is of this end alone: an agreement may end, go on after
 * all, be settled, and end again, and under its own id the period would have noted that already.
 */
async function noteEnd(tx: TenantTransaction, end: { id: string; endedOn: LocalDate; now: Date; sourceId: string }): Promise<void> {
  const lastDay = addDays(end.endedOn, -1);
  await sharePeriodsReaching(tx, { ids: [end.id], from: lastDay });
  const settled = await selectSettledPeriods(tx, { agreementIds: [end.id], from: lastDay, before: null });
  await insertLateChanges(tx, { cause: 'end', sources: settled.map((period) => ({ sourceId: end.sourceId, periodId: period.id })), now: end.now });
}

async function lockedAgreement(tx: TenantTransaction, id: string): Promise<AgreementRow | null> {
  return (await lockAgreement(tx, id)) ? selectAgreement(tx, id) : null;
}

async function readBack(tx: TenantTransaction, id: string): Promise<Outcome<Agreement>> {
  const after = await selectAgreement(tx, id);
  if (after === null) throw new Error(`agreement ${id} is gone`);
  return done(toAgreement(after));
}

/** An end leaves nothing behind it that needs the agreement, and lets the next one begin. */
async function wrongEnd(tx: TenantTransaction, agreement: AgreementRow, endedOn: LocalDate | null): Promise<WrongField[]> {
  if (endedOn === agreement.ended_on) return [];
  const wrong = (code: string, message: string): WrongField => ({ path: ['endedOn'], code, message });
  if (endedOn !== null && endedOn <= agreement.started_on) return [wrong('not-after-start', `The agreement began on ${agreement.started_on}.`)];
  const { id, site_id: siteId, started_on: startedOn } = agreement;
  const problems = await otherAgreement(tx, { siteId, startedOn, endedOn, exceptId: id, field: 'endedOn' });
  const site = await shareSite(tx, siteId);
  if (site !== null && site.closed_on !== null && (endedOn === null || endedOn > site.closed_on)) {
    problems.push(wrong('after-site-closed', `Site ${site.code} closed on ${site.closed_on}.`));
  }
  const ties = await selectAgreementTies(tx, id);
  if (ties.finally_settled !== null) problems.push(wrong('settled-finally', `Its final settlement, of the period from ${ties.finally_settled}, has its number.`));
  if (endedOn === null) return problems;
  if (ties.collected_on !== null && ties.collected_on >= endedOn) {
    problems.push(wrong('collected-later', `An accepted collection is booked to ${ties.collected_on}.`));
  }
  if (ties.reported_on !== null && ties.reported_on >= endedOn) {
    problems.push(wrong('reported-later', `Card takings or a break-in are booked to ${ties.reported_on}.`));
  }
  if (ties.version_from !== null && ties.version_from >= endedOn) {
    problems.push(wrong('terms-later', `Terms of it hold from ${ties.version_from} on.`));
  }
  return problems;
}

async function wrongParties(tx: TenantTransaction, agreement: AgreementRow, otherPartyIds: readonly string[]): Promise<WrongField[]> {
  const missing = agreement.other_party_ids.find((id) => !otherPartyIds.includes(id));
  if (missing !== undefined) return [{ path: ['otherPartyIds'], code: 'party-missing', message: `Party ${missing} stays listed: terms of the agreement may name it.` }];
  return unknownParties(tx, { partyId: agreement.party_id, otherPartyIds });
}
