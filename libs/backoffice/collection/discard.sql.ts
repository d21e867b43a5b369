import type { TenantTransaction } from '#database/tenant';

/**
 * Who had a hand in a collection: who entered any of it, be it the visit, its counts, what was counted at the machines, slips,
 * cash handed out, readings or bags; and who collected, counted at the machines or held the key, as far as they have accounts.
 */
export async function selectRecorders(tx: TenantTransaction, collectionId: string): Promise<string[]> {
  const entered = ['box_count', 'field_count', 'refund_slip', 'cash_handed', 'meter_reading', 'collection_bag'];
  const people = `SELECT 'user:' || m.account_id AS recorded_by FROM identity.members() m
     WHERE m.person_id IN (SELECT c.collected_by FROM collection c WHERE c.tenant_id = $1 AND c.id = $2
                           UNION SELECT w.counted_by FROM field_count w WHERE w.tenant_id = $1 AND w.collection_id = $2
                           UNION (SELECT n.person_id FROM collection_key_holder n WHERE n.tenant_id = $1 AND n.collection_id = $2 ORDER BY n.recorded_at DESC, n.id DESC LIMIT 1))`;
  const { rows } = await tx.sql<{ recorded_by: string }>(
    ['SELECT recorded_by FROM collection WHERE tenant_id = $1 AND id = $2', ...entered.map((table) => `SELECT recorded_by FROM ${table} WHERE tenant_id = $1 AND collection_id = $2`), people].join(' UNION '),
    [tx.tenantId, collectionId],
  );
  return rows.map((row) => row.recorded_by);
}

/** What is in the books of other places because of a collection, and so must be taken back there first. */
export async function selectBookedElsewhere(tx: TenantTransaction, collectionId: string): Promise<{ funds: string[]; machines: string[] }> {
  const { rows } = await tx.sql<{ funds: string[]; machines: string[] }>(
    `SELECT ARRAY(SELECT DISTINCT f.code FROM cash_move m JOIN change_fund f ON f.tenant_id = $1 AND f.id = m.fund_id
                   WHERE m.tenant_id = $1 AND m.collection_id = $2 AND m.takes_back_id IS NULL
                     AND NOT EXISTS (SELECT FROM cash_move back WHERE back.tenant_id = $1 AND back.takes_back_id = m.id) ORDER BY 1) AS funds,
            ARRAY(SELECT DISTINCT machine.tag FROM cashless_taking t JOIN machine ON machine.tenant_id = $1 AND machine.id = t.machine_id
                   WHERE t.tenant_id = $1 AND t.collection_id = $2 AND t.gross_minor > 0
                     AND NOT EXISTS (SELECT FROM cashless_taking newer WHERE newer.tenant_id = $1 AND newer.replaces_id = t.id) ORDER BY 1) AS machines`,
    [tx.tenantId, collectionId],
  );
  return rows[0] ?? { funds: [], machines: [] };
}

export type ReadMachine = { machine_id: string; reading_ids: string[] };

/** The standing readings of a collection, by machine. */
export async function selectReadMachines(tx: TenantTransaction, collectionId: string): Promise<ReadMachine[]> {
  const { rows } = await tx.sql<ReadMachine>(
    `SELECT r.machine_id, array_agg(r.id ORDER BY r.id) AS reading_ids FROM meter_reading r
      WHERE r.tenant_id = $1 AND r.collection_id = $2 AND r.value IS NOT NULL
        AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id = r.id)
      GROUP BY r.machine_id ORDER BY r.machine_id`,
    [tx.tenantId, collectionId],
  );
  return rows;
}

/** Takes readings back, each by a row of its own with the reason. */
export async function withdrawReadings(tx: TenantTransaction, readings: readonly { readonly id: string; readonly withdrawnById: string }[], why: { readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, collection_id, value, read_again, read_by, replaces_id, reason, recorded_at, recorded_by)
     SELECT r.tenant_id, w.withdrawn_by, r.meter_id, r.machine_id, r.capacity, r.happened_at, r.phase, r.occasion, r.collection_id, NULL, r.read_again, r.read_by, r.id, $2, $3, $4
       FROM unnest($5::uuid[], $6::uuid[]) AS w (id, withdrawn_by) JOIN meter_reading r ON r.tenant_id = $1 AND r.id = w.id`,
    [tx.tenantId, why.reason, why.now, tx.actor, readings.map(({ id }) => id), readings.map(({ withdrawnById }) => withdrawnById)],
  );
}

export async function markDiscarded(tx: TenantTransaction, discard: { readonly id: string; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql(`UPDATE collection SET state = 'discarded', discarded_at = $3, discarded_by = $4, discarded_because = $5 WHERE tenant_id = $1 AND id = $2`, [
    tx.tenantId,
    discard.id,
    discard.now,
    tx.actor,
    discard.reason,
  ]);
}

export type WithdrawnRow = { counts: number; field_counts: number; readings: number; reading_tries: number; refund_slips: number; cash_handed: number; bags: number; made_alone: boolean };

/** How much of each kind went with a discarded collection, and whether one person did it alone. */
export async function selectWithdrawn(tx: TenantTransaction, collectionId: string): Promise<WithdrawnRow | null> {
  const first = (table: string): string => `(SELECT count(*)::int FROM ${table} e WHERE e.tenant_id = c.tenant_id AND e.collection_id = c.id AND e.replaces_id IS NULL)`;
  const all = (table: string): string => `(SELECT count(*)::int FROM ${table} e WHERE e.tenant_id = c.tenant_id AND e.collection_id = c.id)`;
  const { rows } = await tx.sql<WithdrawnRow>(
    `SELECT (SELECT count(*)::int FROM box_count e WHERE e.tenant_id = c.tenant_id AND e.collection_id = c.id AND e.part > 0 AND e.replaces_id IS NULL) AS counts, ${all('field_count')} AS field_counts, ${first('meter_reading')} AS readings,
            (SELECT count(DISTINCT t.id)::int FROM meter_reading_try t JOIN placement p ON p.tenant_id = t.tenant_id AND p.machine_id = t.machine_id AND p.site_id = c.site_id
              WHERE t.tenant_id = c.tenant_id AND t.happened_at = c.happened_at AND t.tried_at <= c.discarded_at AND t.tried_at >= c.recorded_at) AS reading_tries,
            ${first('refund_slip')} AS refund_slips, ${first('cash_handed')} AS cash_handed, ${all('collection_bag')} AS bags,
            EXISTS (SELECT FROM relaxed_record alone WHERE alone.tenant_id = c.tenant_id AND alone.record_id = c.id AND alone.rule = 'second-person') AS made_alone
       FROM collection c WHERE c.tenant_id = $1 AND c.id = $2 AND c.state = 'discarded'`,
    [tx.tenantId, collectionId],
  );
  return rows[0] ?? null;
}
