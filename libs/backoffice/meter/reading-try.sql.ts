import type { TenantTransaction } from '#database/tenant';

/** A value that was entered and sent back to be read again. */
export type ReadingTry = { readonly meterId: string; readonly machineId: string; readonly at: Date; readonly value: bigint };

export async function insertTries(tx: TenantTransaction, tries: readonly ReadingTry[], { now, newId }: { readonly now: Date; readonly newId: () => string }): Promise<void> {
  await tx.sql(
    `INSERT INTO meter_reading_try (tenant_id, id, meter_id, machine_id, happened_at, value, tried_at, tried_by)
     SELECT $1, t.id, t.meter_id, t.machine_id, t.at, t.value, $2, $3
       FROM unnest($4::uuid[], $5::uuid[], $6::uuid[], $7::timestamptz[], $8::bigint[]) AS t (id, meter_id, machine_id, at, value)`,
    [tx.tenantId, now, tx.actor, tries.map(() => newId()), tries.map(({ meterId }) => meterId), tries.map(({ machineId }) => machineId), tries.map(({ at }) => at), tries.map(({ value }) => value)],
  );
}

/** Meters of these of which a value was sent back, and of which nothing was recorded since. What was tried for a collection that was discarded since is over. */
export async function selectTried(tx: TenantTransaction, meterIds: readonly string[]): Promise<ReadonlySet<string>> {
  const { rows } = await tx.sql<{ meter_id: string }>(
    `SELECT DISTINCT t.meter_id FROM meter_reading_try t
      WHERE t.tenant_id = $1 AND t.meter_id = ANY ($2::uuid[])
        AND NOT EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = t.tenant_id AND r.meter_id = t.meter_id AND r.replaces_id IS NULL AND r.recorded_at > t.tried_at)
        AND NOT EXISTS (SELECT FROM collection c JOIN placement p ON p.tenant_id = c.tenant_id AND p.site_id = c.site_id AND p.machine_id = t.machine_id
                         WHERE c.tenant_id = t.tenant_id AND c.state = 'discarded' AND c.happened_at = t.happened_at AND c.discarded_at >= t.tried_at)`,
    [tx.tenantId, meterIds],
  );
  return new Set(rows.map((row) => row.meter_id));
}
