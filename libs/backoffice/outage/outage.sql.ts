import type { TenantTransaction } from '#database/tenant';

export type OutageRow = {
  id: string;
  machine_id: string;
  started_at: Date;
  ended_at: Date | null;
  cause: string;
  remedy: string;
  reported_by: string | null;
  revision: number;
  recorded_at: Date;
  recorded_by: string;
};

const columns = 'id, machine_id, started_at, ended_at, cause, remedy, reported_by, revision, recorded_at, recorded_by';

export async function insertOutage(
  tx: TenantTransaction,
  outage: Pick<OutageRow, 'id' | 'machine_id' | 'started_at' | 'ended_at' | 'cause' | 'remedy' | 'reported_by' | 'recorded_at'>,
): Promise<void> {
  await tx.sql(
    `INSERT INTO outage (tenant_id, id, machine_id, started_at, ended_at, cause, remedy, reported_by, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)`,
    [tx.tenantId, outage.id, outage.machine_id, outage.started_at, outage.ended_at, outage.cause, outage.remedy, outage.reported_by, outage.recorded_at, tx.actor],
  );
}

export async function selectOutage(tx: TenantTransaction, id: string): Promise<OutageRow | null> {
  return (await tx.sql<OutageRow>(`SELECT ${columns} FROM outage WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, id])).rows[0] ?? null;
}

/** Ends an outage that has not ended, and says whether it had not. */
export async function updateEnd(tx: TenantTransaction, outage: { readonly id: string; readonly endedAt: Date; readonly remedy: string }): Promise<boolean> {
  const { rowCount } = await tx.sql('UPDATE outage SET ended_at = $3, remedy = $4 WHERE tenant_id = $1 AND id = $2 AND ended_at IS NULL', [tx.tenantId, outage.id, outage.endedAt, outage.remedy]);
  return rowCount === 1;
}

/** The latest first. */
export async function selectOutages(
  tx: TenantTransaction,
  list: { readonly after: readonly [startedAt: string, id: string] | null; readonly limit: number; readonly machineId: string | null; readonly ended: boolean | null },
): Promise<OutageRow[]> {
  const [startedAt, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<OutageRow>(
    `SELECT ${columns} FROM outage
      WHERE tenant_id = $1 AND ($2::timestamptz IS NULL OR (started_at, id) < ($2::timestamptz, $3::uuid))
        AND ($4::uuid IS NULL OR machine_id = $4) AND ($5::boolean IS NULL OR (ended_at IS NOT NULL) = $5)
      ORDER BY started_at DESC, id DESC LIMIT $6`,
    [tx.tenantId, startedAt, id, list.machineId, list.ended, list.limit],
  );
  return rows;
}
