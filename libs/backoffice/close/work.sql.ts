import type { TenantTransaction } from '#database/tenant';
import { isReversed } from '../settlement/standing.sql';

/** Periods of a run that have a settlement which was not reversed. */
export async function settledPeriods(tx: TenantTransaction, run: { startsOn: string; endsBefore: string }): Promise<string[]> {
  const { rows } = await tx.sql<{ period_id: string }>(
    `SELECT x.period_id FROM settlement x WHERE x.tenant_id = $1 AND x.starts_on >= $2 AND x.starts_on < $3 AND NOT ${isReversed('x')}`,
    [tx.tenantId, run.startsOn, run.endsBefore],
  );
  return rows.map((row) => row.period_id);
}

/** Settlements of a run in some states, by site code, which is the order in which they are numbered. */
export async function settlementsOf(
  tx: TenantTransaction,
  query: { closeRunId: string; states: readonly string[]; ids?: readonly string[] | undefined },
): Promise<string[]> {
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT x.id FROM settlement x JOIN site s ON s.tenant_id = x.tenant_id AND s.id = x.site_id
      WHERE x.tenant_id = $1 AND x.close_run_id = $2 AND x.state = ANY ($3) AND ($4::uuid[] IS NULL OR x.id = ANY ($4))
      ORDER BY s.code, x.starts_on, x.id`,
    [tx.tenantId, query.closeRunId, query.states, query.ids ?? null],
  );
  return rows.map((row) => row.id);
}

/** Of these settlements, those that are numbered and have no statement yet. */
export async function settlementsWithoutStatement(tx: TenantTransaction, ids: readonly string[]): Promise<string[]> {
  const { rows } = await tx.sql<{ id: string }>(`SELECT id FROM settlement WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) AND state = 'numbered' ORDER BY number_serial`, [tx.tenantId, ids]);
  return rows.map((row) => row.id);
}
