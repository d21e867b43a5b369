import type { TenantTransaction } from '#database/tenant';
import type { StoredTallyLine } from '../collection/tally';
import { madeAlone } from '../policy/policy.sql';
import type { NewCount } from '../collection/record-collections';

export async function insertFieldCounts(tx: TenantTransaction, counts: readonly NewCount[], { countedBy, now }: { readonly countedBy: string; readonly now: Date }): Promise<void> {
  const column = <Value>(value: (count: NewCount) => Value): Value[] => counts.map(value);
  await tx.sql(
    `INSERT INTO field_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, currency, coin_minor, note_minor, tally,
                              counted_by, recorded_at, recorded_by)
     SELECT $1, f.id, f.collection_id, f.site_id, f.placement_id, f.machine_id, f.part, f.currency, f.coin, f.note, f.tally, $2, $3, $4
       FROM unnest($5::uuid[], $6::uuid[], $7::uuid[], $8::uuid[], $9::uuid[], $10::smallint[], $11::text[], $12::bigint[], $13::bigint[], $14::jsonb[])
         AS f (id, collection_id, site_id, placement_id, machine_id, part, currency, coin, note, tally)`,
    [
      tx.tenantId,
      countedBy,
      now,
      tx.actor,
      column((f) => f.id),
      column((f) => f.collectionId),
      column((f) => f.siteId),
      column((f) => f.placementId),
      column((f) => f.machineId),
      column((f) => f.part),
      column((f) => f.currency),
      column((f) => f.coinMinor),
      column((f) => f.noteMinor),
      column((f) => (f.tally === undefined || f.tally === null ? null : JSON.stringify(f.tally))),
    ],
  );
}

export type FieldCountRow = {
  id: string;
  placement_id: string;
  machine_id: string;
  machine_tag: string;
  part: number;
  coin_minor: bigint;
  note_minor: bigint;
  tally: readonly StoredTallyLine[] | null;
  counted_by: string;
  replaces_id: string | null;
  replaced_by_id: string | null;
  reason: string | null;
  made_alone: boolean;
  blind: boolean;
  /** Of the whole box, all its parts together. */
  room_coin_minor: bigint | null;
  room_note_minor: bigint | null;
  recorded_at: Date;
  recorded_by: string;
};

/** Field counts of a collection, with what was corrected of them, beside the room's counts that stand; by machine. */
export async function selectFieldCounts(tx: TenantTransaction, collectionId: string): Promise<FieldCountRow[]> {
  const { rows } = await tx.sql<FieldCountRow>(
    `SELECT f.id, f.placement_id, f.machine_id, m.tag AS machine_tag, f.part, f.coin_minor, f.note_minor, f.tally, f.counted_by, f.replaces_id, newer.id AS replaced_by_id, f.reason, ${madeAlone('f')},
            coalesce(f.counted_by <> c.collected_by, false)
              AND NOT EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = f.tenant_id AND r.collection_id = f.collection_id AND r.read_by = f.counted_by) AS blind,
            room.coin_minor AS room_coin_minor, room.note_minor AS room_note_minor, f.recorded_at, f.recorded_by
       FROM field_count f
       JOIN collection c ON c.tenant_id = f.tenant_id AND c.id = f.collection_id
       JOIN machine m ON m.tenant_id = f.tenant_id AND m.id = f.machine_id
       LEFT JOIN field_count newer ON newer.tenant_id = f.tenant_id AND newer.replaces_id = f.id
       CROSS JOIN LATERAL (
         SELECT sum(b.coin_minor)::bigint AS coin_minor, sum(b.note_minor)::bigint AS note_minor FROM box_count b
          WHERE b.tenant_id = f.tenant_id AND b.collection_id = f.collection_id AND b.placement_id = f.placement_id
            AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = b.tenant_id AND newer.replaces_id = b.id)) room
      WHERE f.tenant_id = $1 AND f.collection_id = $2
      ORDER BY m.tag, f.part, f.recorded_at, f.id`,
    [tx.tenantId, collectionId],
  );
  return rows;
}

/** Writes a count in the place of another, which stays as it is. Denominations are not corrected one by one. */
export async function insertFieldCountCorrection(tx: TenantTransaction, correction: { readonly id: string; readonly replacesId: string; readonly coinMinor: bigint; readonly noteMinor: bigint; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO field_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, currency, coin_minor, note_minor, counted_by, replaces_id, reason, recorded_at, recorded_by)
     SELECT tenant_id, $2, collection_id, site_id, placement_id, machine_id, part, currency, $4, $5, counted_by, id, $6, $7, $8 FROM field_count WHERE tenant_id = $1 AND id = $3`,
    [tx.tenantId, correction.id, correction.replacesId, correction.coinMinor, correction.noteMinor, correction.reason, correction.now, tx.actor],
  );
}
