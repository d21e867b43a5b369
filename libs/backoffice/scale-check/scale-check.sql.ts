import type { TenantTransaction } from '#database/tenant';

export type ScaleCheckRow = { id: string; scale: string; reference_milligrams: bigint; shown_milligrams: bigint; happened_at: Date; recorded_at: Date; recorded_by: string };

const columns = 'id, scale, reference_milligrams, shown_milligrams, happened_at, recorded_at, recorded_by';

export async function insertScaleCheck(
  tx: TenantTransaction,
  check: { readonly id: string; readonly scale: string; readonly referenceMilligrams: bigint; readonly shownMilligrams: bigint; readonly happenedAt: Date; readonly now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO scale_check (tenant_id, id, scale, reference_milligrams, shown_milligrams, happened_at, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
    [tx.tenantId, check.id, check.scale, check.referenceMilligrams, check.shownMilligrams, check.happenedAt, check.now, tx.actor],
  );
}

export async function selectScaleCheck(tx: TenantTransaction, id: string): Promise<ScaleCheckRow | null> {
  const { rows } = await tx.sql<ScaleCheckRow>(`SELECT ${columns} FROM scale_check WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

/** The latest first. */
export async function listScaleCheckRows(tx: TenantTransaction, list: { readonly after: readonly [happenedAt: string, id: string] | null; readonly limit: number }): Promise<ScaleCheckRow[]> {
  const [happenedAt, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<ScaleCheckRow>(
    `SELECT ${columns} FROM scale_check
      WHERE tenant_id = $1 AND ($2::timestamptz IS NULL OR (happened_at, id) < ($2::timestamptz, $3::uuid))
      ORDER BY happened_at DESC, id DESC LIMIT $4`,
    [tx.tenantId, happenedAt, id, list.limit],
  );
  return rows;
}
