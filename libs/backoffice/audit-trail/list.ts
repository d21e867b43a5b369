import type { AuditEntry, AuditTrailQuery } from '#contracts/audit-trail';
import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectAuditEntries, type AuditRow } from './list.sql';
import { selectNames } from './names.sql';

const cursorSchema = z.tuple([z.uuid()]);

/** Who changed what, newest first. */
export async function listAuditTrail(deps: Backoffice, caller: Caller, query: AuditTrailQuery): Promise<Outcome<Page<AuditEntry>>> {
  return perform(deps, caller, 'audit-trail.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const { kind = null, thingId = null, actor = null, limit } = query;
    const rows = await selectAuditEntries(tx, { kind, thingId, actor, before: after?.[0] ?? null, limit });
    const names = await selectNames(tx, rows.map(({ table_name: of, row_id: id }) => ({ kind: of, id })));
    return done(toPage({ rows, limit, item: (row) => toAuditEntry(row, names), keyOf: (row) => [row.id] }));
  });
}

function toAuditEntry(row: AuditRow, names: ReadonlyMap<string, string>): AuditEntry {
  return {
    id: row.id,
    recordedAt: formatInstant(row.recorded_at),
    actor: row.actor,
    requestId: row.request_id,
    kind: row.table_name,
    thingId: row.row_id,
    thingName: names.get(`${row.table_name} ${row.row_id}`) ?? null,
    action: row.action,
    before: row.before,
    after: row.after,
  };
}
