import { formatInstant } from '#contracts/format';
import { done, refused, underField, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { Failure, FieldError } from '#contracts/problem';
import type { CollectionBags, EnterVisit, PhoneVisit, PhoneVisitListQuery } from '#contracts/visit';
import type { TenantTransaction } from '#database/tenant';
import { z } from 'zod';
import type { Caller } from '../caller';
import { selectBagsOfCollection } from '../cash-trail/bag.sql';
import { sealFor } from '../collection/blind';
import { selectCollection } from '../collection/collection.sql';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform, type Unit } from '../perform';
import { enterVisit, visitConstraintsUnder } from './enter';
import { keptProblem } from './kept-problem';
import { isDoneAlone, personBehind } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { insertRuling, insertSeen, insertVisitLooks, selectPhoneVisits, type PhoneVisitRow } from './visit.sql';

export const ruledAlready: Failure = { code: 'wrong-state', detail: 'Somebody has settled this visit already.' };
const seenAlready: Failure = { code: 'wrong-state', detail: 'Somebody has seen this visit already.' };
const rulingConstraints = {
  ...visitConstraintsUnder('visit'),
  phone_visit_ruling_pkey: ruledAlready,
};

/** Visits as phones sent them, the latest first. */
export function listVisits(deps: Backoffice, caller: Caller, query: PhoneVisitListQuery): Promise<Outcome<Page<PhoneVisit>>> {
  return perform<Page<PhoneVisit>>(deps, caller, 'visit.read', async (unit) => {
    const { tx } = unit;
    const after = decodeCursor(query.cursor, z.tuple([z.iso.datetime(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectPhoneVisits(tx, { id: null, state: query.state ?? null, seen: query.seen === undefined ? null : query.seen === 'yes', after, limit: query.limit + 1 });
    const sealed = await sealedOf(unit, caller, rows.slice(0, query.limit));
    await noteLooks(unit, rows.slice(0, query.limit), sealed);
    return done(toPage({ rows, limit: query.limit, item: (row) => toPhoneVisit(row, sealed), keyOf: (row) => [row.received_at.toISOString(), row.id] }));
  });
}

export function readVisit(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<PhoneVisit>> {
  return perform(deps, caller, 'visit.read', async (unit) => {
    const row = await selectVisit(unit.tx, query.id);
    if (row === null) return refused('not-found');
    const sealed = await sealedOf(unit, caller, [row]);
    await noteLooks(unit, [row], sealed);
    return done(toPhoneVisit(row, sealed));
  });
}

/** Enters a visit that was kept aside, as it is right. It stays the visit of who made it; what the phone sent stays beside it. */
export function enterKeptVisit(deps: Backoffice, caller: Caller, command: { readonly id: string } & EnterVisit): Promise<Outcome<PhoneVisit>> {
  const { id, visit, reason } = command;
  return perform(
    deps,
    caller,
    'visit.rule',
    async (unit) => {
      const { tx, now } = unit;
      const row = await keptAside(tx, id);
      if (!row.ok) return row;
      // As it was before the ruling: who enters a visit has a hand in it from then on.
      const sealed = await sealedOf(unit, caller, [row.value]);
      const entered = await enterVisit(tx, visit, { caller, now, newId: deps.newId, collectionId: id, collectedBy: row.value.person_id });
      if (!entered.ok) return underField('visit', entered);
      await insertRuling(tx, { visitId: id, kind: 'entered', reason, entered: visit, collectionId: entered.value, now });
      return readBack(tx, id, sealed);
    },
    { constraints: rulingConstraints },
  );
}

/**
 * Settles that a visit that was kept aside does not enter the books. It stays, with the reason. Whoever made it has its cash,
 * and does not settle alone that there was none.
 */
export function discardVisit(deps: Backoffice, caller: Caller, command: { readonly id: string; readonly reason: string }): Promise<Outcome<PhoneVisit>> {
  const { id, reason } = command;
  return perform(
    deps,
    caller,
    'visit.rule',
    async (unit) => {
      const { tx, now } = unit;
      const row = await keptAside(tx, id);
      if (!row.ok) return row;
      // As it was before the ruling: who enters a visit has a hand in it from then on.
      const sealed = await sealedOf(unit, caller, [row.value]);
      const alone = await isDoneAlone(tx, { recordedBy: [`user:${row.value.account_id}`], now, detail: 'You made this visit: somebody else settles that it does not enter the books.' });
      if (!alone.ok) return alone;
      await insertRuling(tx, { visitId: id, kind: 'discarded', reason, entered: null, collectionId: null, now });
      if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'visit-discard', now });
      return readBack(tx, id, sealed);
    },
    { constraints: rulingConstraints },
  );
}

/**
 * Notes that the office has seen a visit that was withdrawn. Whoever withdrew it, or made it, has its cash, and does not say alone
 * that somebody knows of it.
 */
export function seeWithdrawnVisit(deps: Backoffice, caller: Caller, command: { readonly id: string }): Promise<Outcome<PhoneVisit>> {
  const { id } = command;
  return perform(
    deps,
    caller,
    'visit.see',
    async (unit) => {
      const { tx, now } = unit;
      const row = await selectVisit(tx, id);
      if (row === null) return refused('not-found');
      if (row.state !== 'withdrawn') return refused('wrong-state', { detail: 'This visit was not withdrawn: it is entered or discarded.' });
      if (row.seen_at !== null) return { ok: false, failure: seenAlready };
      const alone = await isDoneAlone(tx, { recordedBy: [`user:${row.account_id}`, ...(row.ruled_by === null ? [] : [row.ruled_by])], now, detail: 'You made this visit or withdrew it: somebody else says that it was seen.' });
      if (!alone.ok) return alone;
      const sealed = await sealedOf(unit, caller, [row]);
      await insertSeen(tx, { visitId: id, now });
      if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'visit-seen', now });
      return readBack(tx, id, sealed);
    },
    { constraints: { withdrawn_visit_seen_pkey: seenAlready } },
  );
}

/** Sealed bags that came with a collection: what the counting room should find, and nothing of what is in them. */
export function listBags(deps: Backoffice, caller: Caller, query: { readonly collectionId: string }): Promise<Outcome<CollectionBags>> {
  return perform<CollectionBags>(deps, caller, 'collection.read', async ({ tx, refusal }) => {
    const collection = await selectCollection(tx, query.collectionId);
    if (collection === null) return refused('not-found');
    const refusedHere = refusal({ state: collection.state, siteId: collection.site_id });
    if (refusedHere !== null) return refusedHere;
    return done({ items: (await selectBagsOfCollection(tx, collection.id)).map((bag) => ({ id: bag.id, machineTag: bag.machine_tag, number: bag.number, seal: bag.seal })) });
  });
}

/** A visit that waits for a ruling; of one account alone, where it is named. */
export async function keptAside(tx: TenantTransaction, id: string, { madeBy = null }: { readonly madeBy?: string | null } = {}): Promise<Outcome<PhoneVisitRow>> {
  const row = await selectVisit(tx, id);
  if (row === null || (madeBy !== null && row.account_id !== madeBy)) return refused('not-found');
  if (row.state === 'entered') return refused('wrong-state', { detail: 'This visit is in the books.' });
  return row.state === 'quarantined' ? done(row) : { ok: false, failure: ruledAlready };
}

function sitesOf(row: PhoneVisitRow): string[] {
  return [row.site_id, row.entered_site_id].flatMap((id) => id ?? []);
}

/** Sites of these visits of which the caller is shown no figure; that the figures of the others were shown goes on record. */
async function sealedOf(unit: Unit, caller: Caller, rows: readonly PhoneVisitRow[]): Promise<readonly string[]> {
  const siteIds = [...new Set(rows.flatMap(sitesOf))];
  return siteIds.length === 0 ? [] : (await sealFor(unit, caller, { siteIds })).sites;
}

/** Of a visit that is no collection yet, who was shown its readings is kept beside it. */
async function noteLooks({ tx, now }: Unit, rows: readonly PhoneVisitRow[], sealed: readonly string[]): Promise<void> {
  const shown = rows.filter((row) => row.collection_id === null && !sitesOf(row).some((id) => sealed.includes(id)));
  await insertVisitLooks(tx, { by: await personBehind(tx, tx.actor), visitIds: shown.map(({ id }) => id), now });
}

async function selectVisit(tx: TenantTransaction, id: string): Promise<PhoneVisitRow | null> {
  return (await selectPhoneVisits(tx, { id, state: null, seen: null, after: null, limit: 1 }))[0] ?? null;
}

async function readBack(tx: TenantTransaction, id: string, sealed: readonly string[]): Promise<Outcome<PhoneVisit>> {
  const row = await selectVisit(tx, id);
  if (row === null) throw new Error(`visit ${id} is gone`);
  return done(toPhoneVisit(row, sealed));
}

/** In the place of sentences that may tell a figure. Which field is meant, and by which rule, tells none. */
const withheldDetail = 'You have a hand in a collection of this site: what was sent is shown when it is accepted.';

/** Neither the sentence nor what it names. */
function withheldError({ in: part, pointer, code }: FieldError): FieldError {
  return { in: part, pointer, code, message: withheldDetail };
}
const storedBodySchema = z.record(z.string(), z.unknown());

function toPhoneVisit(row: PhoneVisitRow, sealed: readonly string[]): PhoneVisit {
  const withheld = sitesOf(row).some((id) => sealed.includes(id));
  const body = storedBodySchema.parse(row.body);
  const problem = keptProblem(row.problem);
  const { ruling_kind: kind, ruling_reason: reason, ruled_at: ruledAt, ruled_by: ruledBy } = row;
  return {
    id: row.id,
    state: row.state,
    deviceId: row.device_id,
    deviceName: row.device_name,
    personName: row.person_name,
    siteCode: row.site_code,
    happenedAt: typeof body['happenedAt'] === 'string' ? body['happenedAt'] : null,
    sequence: row.sequence,
    receivedAt: formatInstant(row.received_at),
    collectionId: row.collection_id,
    problem: problem === null ? null : { code: problem.code, detail: withheld ? withheldDetail : (problem.detail ?? null), errors: (problem.errors ?? []).map((error) => (withheld ? withheldError(error) : error)) },
    visit: withheld || row.body_removed_at !== null ? null : body,
    removedAt: row.body_removed_at && formatInstant(row.body_removed_at),
    ruling:
      kind === null || reason === null || ruledAt === null || ruledBy === null
        ? null
        : { kind, reason, ruledAt: formatInstant(ruledAt), ruledBy, entered: row.ruling_entered === null || withheld || row.body_removed_at !== null ? null : storedBodySchema.parse(row.ruling_entered) },
    seen: row.seen_at === null || row.seen_by === null ? null : { at: formatInstant(row.seen_at), by: row.seen_by },
  };
}
