import type { TenantTransaction } from '#database/tenant';

export type AuditRow = {
  id: string;
  recorded_at: Date;
  actor: string;
  request_id: string | null;
  table_name: string;
  row_id: string;
  action: 'insert' | 'update' | 'delete';
  before: Record<string, unknown> | null;
  after: Record<string, unknown> | null;
};

/** Newest first; ids are UUIDv7, so their order is the order of recording. One row more than the page holds. */
export async function selectAuditEntries(
  tx: TenantTransaction,
  filter: { kind: string | null; thingId: string | null; actor: string | null; before: string | null; limit: number },
): Promise<AuditRow[]> {
  const { rows } = await tx.sql<AuditRow>(
    `SELECT id, recorded_at, actor, request_id, table_name, row_id, action, before, after
       FROM audit_entry
      WHERE ($1::text IS NULL OR table_name = $1) AND ($2::text IS NULL OR row_id = $2)
        AND ($3::text IS NULL OR actor = $3) AND ($4::uuid IS NULL OR id < $4)
      ORDER BY id DESC LIMIT $5`,
    [filter.kind, filter.thingId, filter.actor, filter.before, filter.limit + 1],
  );
  return rows;
}
