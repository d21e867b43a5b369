import type { CustodyEvent, CustodyEventListQuery, KeyCopy, KeyCopyHistory, KeyCopyListQuery } from '#contracts/custody';
import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { toWhereabouts } from '../key-question/whereabouts.sql';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { onlyRow } from '../rows';
import {
  listEventRows,
  selectAcknowledgements,
  selectDenials,
  selectEventCopies,
  selectEvents,
  selectEventsOfCopy,
  selectKeyCopies,
  type AcknowledgementRow,
  type EventCopyRow,
  type EventRow,
  type KeyCopyRow,
} from './read.sql';

/** One event with its copies and who confirmed it. */
export async function readCustodyEvent(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<CustodyEvent>> {
  return perform(deps, caller, 'custody-event.read', async ({ tx }) => {
    const event = await eventOf(tx, query.id);
    return event === null ? refused('not-found') : done(event);
  });
}

const eventCursorSchema = z.tuple([z.iso.datetime(), z.uuid()]);

/** Events, those recorded last first. */
export async function listCustodyEvents(deps: Backoffice, caller: Caller, query: CustodyEventListQuery): Promise<Outcome<Page<CustodyEvent>>> {
  return perform(deps, caller, 'custody-event.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, eventCursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await listEventRows(tx, {
      after,
      limit: query.limit,
      keyCopyId: query.keyCopyId ?? null,
      keyCodeId: query.keyCodeId ?? null,
      personId: query.personId ?? null,
      kind: query.kind ?? null,
      from: query.from ?? null,
      before: query.before ?? null,
    });
    const page = toPage({ rows, limit: query.limit, item: (row) => row, keyOf: (row) => [formatInstant(row.recorded_at), row.id] });
    return done({ ...page, items: await toEvents(tx, page.items) });
  });
}

/** One copy with everything that was recorded about it. */
export async function readKeyCopy(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<KeyCopyHistory>> {
  return perform(deps, caller, 'key-copy.read', async ({ tx }) => {
    const [row] = await selectKeyCopies(tx, { after: null, limit: null, keyCodeId: null, state: null, ids: [query.id] });
    return row === undefined ? refused('not-found') : done({ ...toKeyCopy(row), history: await toEvents(tx, await selectEventsOfCopy(tx, row.id)) });
  });
}

const copyCursorSchema = z.tuple([z.string()]);

/** Copies by number, with where they are now. */
export async function listKeyCopies(deps: Backoffice, caller: Caller, query: KeyCopyListQuery): Promise<Outcome<Page<KeyCopy>>> {
  return perform(deps, caller, 'key-copy.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, copyCursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectKeyCopies(tx, { after: after?.[0] ?? null, limit: query.limit + 1, keyCodeId: query.keyCodeId ?? null, state: query.state ?? null, ids: null });
    return done(toPage({ rows, limit: query.limit, item: toKeyCopy, keyOf: (row) => [row.number] }));
  });
}

/** An event, if there is one with this id. */
export async function eventOf(tx: TenantTransaction, id: string): Promise<CustodyEvent | null> {
  const [event] = await toEvents(tx, await selectEvents(tx, [id]));
  return event ?? null;
}

/** An event that is in the books. */
export async function readEvent(tx: TenantTransaction, id: string): Promise<CustodyEvent> {
  return onlyRow(await toEvents(tx, await selectEvents(tx, [id])));
}

export function toKeyCopy(row: KeyCopyRow): KeyCopy {
  return {
    id: row.id,
    number: row.number,
    keyCodeId: row.key_code_id,
    code: row.code,
    class: row.class,
    duplicatedFromId: row.duplicated_from_id,
    where: row.since === null ? null : toWhereabouts({ ...row, since: row.since }),
  };
}

/** Rows as the API shows them: three statements more, whatever their number. */
async function toEvents(tx: TenantTransaction, rows: readonly EventRow[]): Promise<CustodyEvent[]> {
  const ids = rows.map(({ id }) => id);
  const copies = byEvent(await selectEventCopies(tx, ids));
  const acknowledgements = byEvent(await selectAcknowledgements(tx, ids));
  const denials = byEvent(await selectDenials(tx, ids));
  return rows.map((row) => ({
    id: row.id,
    kind: row.kind,
    says: row.says,
    happenedAt: formatInstant(row.happened_at),
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
    reason: row.reason,
    from: row.from_kind && { kind: row.from_kind, id: row.from_id, code: row.from_code, name: row.from_name, siteId: row.from_site_id, siteCode: row.from_site_code },
    to: row.to_kind && { kind: row.to_kind, id: row.to_id, code: row.to_code, name: row.to_name, siteId: row.to_site_id, siteCode: row.to_site_code },
    keyRing: row.key_ring_id === null ? null : { id: row.key_ring_id, code: row.key_ring_code ?? '' },
    dueBackAt: row.due_back_at && formatInstant(row.due_back_at),
    acknowledgeBy: row.acknowledge_by && formatInstant(row.acknowledge_by),
    correctsId: row.corrects_id,
    withoutSecondPerson: row.without_second_person,
    copies: (copies.get(row.id) ?? []).map(toEventCopy),
    acknowledgements: (acknowledgements.get(row.id) ?? []).map(toAcknowledgement),
    denials: (denials.get(row.id) ?? []).map(({ side, person_id: personId, code, name, how, denied_at: deniedAt }) => ({ side, person: { personId, code, name }, how, deniedAt: formatInstant(deniedAt) })),
  }));
}

function byEvent<Row extends { event_id: string }>(rows: readonly Row[]): Map<string, Row[]> {
  const groups = new Map<string, Row[]>();
  for (const row of rows) groups.set(row.event_id, [...(groups.get(row.event_id) ?? []), row]);
  return groups;
}

function toEventCopy(row: EventCopyRow): CustodyEvent['copies'][number] {
  return {
    keyCopyId: row.key_copy_id,
    number: row.number,
    keyCodeId: row.key_code_id,
    code: row.code,
    class: row.class,
    exceptionId: row.exception_id,
    breachDueAt: row.breach_due_at && formatInstant(row.breach_due_at),
    correctedById: row.corrected_by_id,
  };
}

function toAcknowledgement(row: AcknowledgementRow): CustodyEvent['acknowledgements'][number] {
  return { side: row.side, person: { personId: row.person_id, code: row.code, name: row.name }, how: row.how, acknowledgedAt: formatInstant(row.acknowledged_at) };
}
