import type { TenantTransaction } from '#database/tenant';

export type StatementFileRow = { readonly site_id: string; readonly state: string; readonly number: string | null; readonly pdf: Buffer | null };

export async function readStatementRow(tx: TenantTransaction, settlementId: string): Promise<StatementFileRow | undefined> {
  const { rows } = await tx.sql<StatementFileRow>(
    `SELECT x.site_id, x.state, x.number, t.pdf FROM settlement x
       LEFT JOIN statement t ON t.tenant_id = x.tenant_id AND t.settlement_id = x.id
      WHERE x.tenant_id = $1 AND x.id = $2`,
    [tx.tenantId, settlementId],
  );
  return rows[0];
}

/** Only the first time counts. */
export async function insertOpening(tx: TenantTransaction, opened: { settlementId: string; accountId: string; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO statement_opening (tenant_id, settlement_id, account_id, opened_at) VALUES ($1, $2, $3, $4) ON CONFLICT DO NOTHING', [
    tx.tenantId,
    opened.settlementId,
    opened.accountId,
    opened.now,
  ]);
}
