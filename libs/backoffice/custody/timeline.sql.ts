import type { TenantTransaction } from '#database/tenant';
import type { CustodyFact, CustodyInterval, CustodyKind, Holder } from '#domain/keys/custody';

/** Columns of a holder in the tables: one of three is filled in. */
export type HolderColumns = { person_id: string | null; store_id: string | null; place_id: string | null };

export function holderOf(columns: HolderColumns): Holder | null {
  if (columns.person_id !== null) return { kind: 'person', id: columns.person_id };
  if (columns.store_id !== null) return { kind: 'store', id: columns.store_id };
  return columns.place_id === null ? null : { kind: 'place', id: columns.place_id };
}

/** The same for writing: person, store, place. */
export function holderValues(holder: Holder | null): [string | null, string | null, string | null] {
  const of = (kind: Holder['kind']): string | null => (holder?.kind === kind ? holder.id : null);
  return [of('person'), of('store'), of('place')];
}

export type CopyRow = { id: string; number: string; key_code_id: string; class: 'access' | 'cash-box' };

/**
 * Locks copies, in the order of their ids so that two who take several never wait for each other. Whoever has the lock
 * reads the copies' events afterwards and sees all that others recorded before.
 */
export async function lockCopies(tx: TenantTransaction, ids: readonly string[]): Promise<CopyRow[]> {
  const { rows } = await tx.sql<CopyRow>(
    'SELECT id, number, key_code_id, class FROM key_copy WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) ORDER BY id FOR NO KEY UPDATE',
    [tx.tenantId, ids],
  );
  return rows;
}

/** Everything that was recorded about copies, by copy. */
export async function selectFacts(tx: TenantTransaction, copyIds: readonly string[]): Promise<Map<string, CustodyFact[]>> {
  const { rows } = await tx.sql<HolderColumns & { key_copy_id: string; id: string; says: CustodyKind | null; corrects_id: string | null; happened_at: Date; recorded_at: Date }>(
    `SELECT c.key_copy_id, e.id, e.says, c.corrects_id, e.happened_at, e.recorded_at, e.to_person_id AS person_id, e.to_store_id AS store_id, e.to_place_id AS place_id
       FROM custody_event_copy c JOIN custody_event e ON e.tenant_id = $1 AND e.id = c.event_id
      WHERE c.tenant_id = $1 AND c.key_copy_id = ANY ($2::uuid[])`,
    [tx.tenantId, copyIds],
  );
  const byCopy = new Map<string, CustodyFact[]>(copyIds.map((id) => [id, []]));
  for (const row of rows) {
    byCopy.get(row.key_copy_id)?.push({
      eventId: row.id,
      says: row.says,
      correctsId: row.corrects_id,
      happenedAt: row.happened_at.getTime(),
      recordedAt: row.recorded_at.getTime(),
      to: holderOf(row),
    });
  }
  return byCopy;
}

/** How what is believed of one copy changes: intervals that are believed no more, and those that take their place. */
export type TimelineChange = { readonly copy: CopyRow; readonly ended: readonly CustodyInterval[]; readonly begun: readonly CustodyInterval[] };

/** Ends and writes intervals; what goes on as it was is left alone. */
export async function saveTimelines(tx: TenantTransaction, changes: readonly TimelineChange[], write: { recordedAt: Date; newId: () => string }): Promise<void> {
  const ended = changes.flatMap(({ copy, ended: intervals }) => intervals.map((interval) => ({ copy, interval })));
  const { rowCount } = await tx.sql(
    `UPDATE custody c SET known_to = $2
       FROM unnest($3::uuid[], $4::uuid[], $5::timestamptz[]) AS old (key_copy_id, event_id, held_from)
      WHERE c.tenant_id = $1 AND c.key_copy_id = old.key_copy_id AND c.event_id = old.event_id AND c.held_from = old.held_from AND c.known_to IS NULL`,
    [tx.tenantId, write.recordedAt, ended.map(({ copy }) => copy.id), ended.map(({ interval }) => interval.eventId), ended.map(({ interval }) => new Date(interval.from))],
  );
  if (rowCount !== ended.length) throw new Error(`${ended.length} intervals of custody should have ended, ${rowCount} did`);
  const begun = changes.flatMap(({ copy, begun: intervals }) => intervals.map((interval) => ({ copy, interval })));
  const holders = begun.map(({ interval }) => holderValues(interval.where.state === 'held' ? interval.where.holder : null));
  await tx.sql(
    `INSERT INTO custody (tenant_id, id, key_copy_id, key_code_id, event_id, state, person_id, store_id, place_id, held_from, held_to, known_from)
     SELECT $1, id, key_copy_id, key_code_id, event_id, state, person_id, store_id, place_id, held_from, held_to, $2
       FROM unnest($3::uuid[], $4::uuid[], $5::uuid[], $6::uuid[], $7::text[], $8::uuid[], $9::uuid[], $10::uuid[], $11::timestamptz[], $12::timestamptz[])
            AS new (id, key_copy_id, key_code_id, event_id, state, person_id, store_id, place_id, held_from, held_to)`,
    [
      tx.tenantId,
      write.recordedAt,
      begun.map(write.newId),
      begun.map(({ copy }) => copy.id),
      begun.map(({ copy }) => copy.key_code_id),
      begun.map(({ interval }) => interval.eventId),
      begun.map(({ interval }) => interval.where.state),
      holders.map(([person]) => person),
      holders.map(([, store]) => store),
      holders.map(([, , place]) => place),
      begun.map(({ interval }) => new Date(interval.from)),
      begun.map(({ interval }) => (interval.to === null ? null : new Date(interval.to))),
    ],
  );
}
