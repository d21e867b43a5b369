import type { TenantTransaction } from '#database/tenant';
import { isReversed } from '../settlement/standing.sql';

export type ArchivedRow = {
  readonly settlement_id: string;
  readonly number: string;
  readonly size_bytes: number;
  readonly pdf_digest: Buffer;
  readonly stored_at: Date;
  readonly reversed: boolean;
};

/** The first day of a run's period, and how many of its settlements have a number and no statement yet. */
export async function readRunForArchive(tx: TenantTransaction, closeRunId: string): Promise<{ starts_on: string; in_preparation: bigint } | undefined> {
  const { rows } = await tx.sql<{ starts_on: string; in_preparation: bigint }>(
    `SELECT r.starts_on, (SELECT count(*) FROM settlement s WHERE s.tenant_id = r.tenant_id AND s.close_run_id = r.id AND s.state = 'numbered') AS in_preparation
       FROM close_run r WHERE r.tenant_id = $1 AND r.id = $2`,
    [tx.tenantId, closeRunId],
  );
  return rows[0];
}

/** The statements of a run by their number, without their bytes. */
export async function readArchived(tx: TenantTransaction, closeRunId: string): Promise<ArchivedRow[]> {
  const { rows } = await tx.sql<ArchivedRow>(
    `SELECT t.settlement_id, s.number, octet_length(t.pdf) AS size_bytes, t.pdf_digest, t.stored_at, ${isReversed('s')} AS reversed
       FROM settlement s JOIN statement t ON t.tenant_id = s.tenant_id AND t.settlement_id = s.id
      WHERE s.tenant_id = $1 AND s.close_run_id = $2 AND s.state = 'issued'
      ORDER BY s.number_year, s.number_serial`,
    [tx.tenantId, closeRunId],
  );
  return rows;
}

/** The bytes of one statement. */
export async function readPdf(tx: TenantTransaction, settlementId: string): Promise<Buffer | undefined> {
  const { rows } = await tx.sql<{ pdf: Buffer }>('SELECT pdf FROM statement WHERE tenant_id = $1 AND settlement_id = $2', [tx.tenantId, settlementId]);
  return rows[0]?.pdf;
}
