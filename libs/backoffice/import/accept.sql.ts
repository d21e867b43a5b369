import type { TenantTransaction } from '#database/tenant';
import { meterOf } from './stage.sql';

export type LockedFile = { id: string; kind: 'collections' | 'keys'; file_name: string; state: 'staged' | 'refused' | 'accepted' | 'discarded'; sha256: Buffer };

export async function lockFile(tx: TenantTransaction, id: string): Promise<LockedFile | undefined> {
  return (await tx.sql<LockedFile>('SELECT id, kind, file_name, state, sha256 FROM import_file WHERE id = $1 FOR UPDATE', [id])).rows[0];
}

export async function selectAcceptedTwin(tx: TenantTransaction, file: LockedFile): Promise<{ file_name: string; accepted_at: Date } | undefined> {
  const { rows } = await tx.sql<{ file_name: string; accepted_at: Date }>(
    `SELECT file_name, accepted_at FROM import_file WHERE sha256 = $1 AND state = 'accepted'`,
    [file.sha256],
  );
  return rows[0];
}

/** Ten minutes for each statement of this transaction instead of the role's one: here one statement writes what a whole file holds. */
export async function giveTimeForFile(tx: TenantTransaction): Promise<void> {
  await tx.sql(`SELECT set_config('statement_timeout', '10min', true)`);
}

/** Lines that fitted when they were checked and no longer do: the machine was moved since, or the visit entered by hand. */
export async function countOutdatedLines(tx: TenantTransaction, fileId: string): Promise<number> {
  const { rows } = await tx.sql<{ outdated: number }>(
    `SELECT count(*)::int AS outdated
       FROM import_row r JOIN placement p ON p.tenant_id = r.tenant_id AND p.id = r.placement_id
      WHERE r.import_file_id = $1
        AND (r.local_date < p.placed_on
             OR (r.removal AND p.removed_on IS DISTINCT FROM r.local_date)
             OR (NOT r.removal AND p.removed_on <= r.local_date)
             OR EXISTS (SELECT FROM collection c WHERE c.tenant_id = r.tenant_id AND c.site_id = r.site_id AND c.happened_at = r.collected_at AND c.state <> 'discarded')
             OR EXISTS (SELECT FROM jsonb_each_text(r.readings) AS shown (label, value) LEFT JOIN LATERAL (${meterOf('r', 'shown.label')}) m ON true WHERE m.id IS NULL OR shown.value::bigint >= m.capacity))`,
    [fileId],
  );
  return rows[0]?.outdated ?? 0;
}

/**
 * Enters the waiting lines as counted collections, in one statement per table, whatever their number. Ids of counts,
 * slips and hand-outs are made by the database: nobody could retry them one by one.
 */
export async function enterCollections(tx: TenantTransaction, file: { id: string; recordedAt: Date }): Promise<string[]> {
  const values = [tx.tenantId, file.id, file.recordedAt, tx.actor];
  const { rows } = await tx.sql<{ id: string }>(
    `INSERT INTO collection (tenant_id, id, site_id, currency, happened_at, local_date, accounting_date, accounting_reason, state,
                             collected_by, import_file_id, recorded_at, recorded_by)
     SELECT DISTINCT ON (r.collection_id) $1, r.collection_id, r.site_id, r.currency, r.collected_at, r.local_date, r.accounting_date,
            CASE WHEN r.accounting_date <> r.local_date THEN 'As the file says: ' || f.file_name END, 'counted', r.collected_by, $2::uuid, $3::timestamptz, $4
       FROM import_row r JOIN import_file f ON f.tenant_id = r.tenant_id AND f.id = r.import_file_id
      WHERE r.import_file_id = $2 ORDER BY r.collection_id, r.line_number
     RETURNING id`,
    values,
  );
  await tx.sql(
    `INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, removal, currency, coin_minor,
                            note_minor, tokens, house_coin_minor, bad_coin_minor, metered_minor, recorded_at, recorded_by)
     SELECT $1, uuidv7(), collection_id, site_id, placement_id, machine_id, part, removal, currency, coin_minor, note_minor,
            tokens, house_coin_minor, bad_coin_minor, metered_minor, $3, $4
       FROM import_row WHERE import_file_id = $2 ORDER BY line_number`,
    values,
  );
  await tx.sql(
    `INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, collection_id, value, read_by, recorded_at, recorded_by)
     SELECT $1, uuidv7(), m.id, r.machine_id, m.capacity, r.collected_at, 'only', 'collection', r.collection_id, shown.value::bigint, r.collected_by, $3, $4
       FROM import_row r CROSS JOIN LATERAL jsonb_each_text(r.readings) AS shown (label, value) CROSS JOIN LATERAL (${meterOf('r', 'shown.label')}) m
      WHERE r.import_file_id = $2 AND r.readings <> '{}' ORDER BY r.line_number`,
    values,
  );
  await tx.sql(
    `INSERT INTO refund_slip (tenant_id, id, collection_id, site_id, placement_id, machine_id, refunded_on, currency, amount_minor,
                              paid_by, recorded_at, recorded_by)
     SELECT $1, uuidv7(), collection_id, site_id, placement_id, machine_id, local_date, currency, refund_minor, 'site', $3, $4
       FROM import_row WHERE import_file_id = $2 AND refund_minor > 0 ORDER BY line_number`,
    values,
  );
  await tx.sql(
    `INSERT INTO cash_handed (tenant_id, id, collection_id, site_id, party_id, currency, amount_minor, recorded_at, recorded_by)
     SELECT $1, uuidv7(), r.collection_id, r.site_id, a.party_id, r.currency, sum(r.handed_minor), $3, $4
       FROM import_row r JOIN agreement a ON a.tenant_id = r.tenant_id AND a.site_id = r.site_id
                                         AND daterange(a.started_on, a.ended_on, '[)') @> r.accounting_date
      WHERE r.import_file_id = $2 AND r.handed_minor > 0
      GROUP BY r.collection_id, r.site_id, a.party_id, r.currency`,
    values,
  );
  return rows.map((row) => row.id);
}

export async function markFile(tx: TenantTransaction, file: { id: string; state: 'accepted' | 'discarded'; at: Date }): Promise<void> {
  await tx.sql(
    `UPDATE import_file SET state = $2, accepted_by = CASE WHEN $2 = 'accepted' THEN $3 END, accepted_at = CASE WHEN $2 = 'accepted' THEN $4::timestamptz END
      WHERE id = $1`,
    [file.id, file.state, tx.actor, file.at],
  );
  await tx.sql('DELETE FROM import_row WHERE import_file_id = $1', [file.id]);
  await tx.sql('DELETE FROM import_key_row WHERE import_file_id = $1', [file.id]);
}
