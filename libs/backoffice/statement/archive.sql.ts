import type { TenantTransaction } from '#database/tenant';
import { isReversed } from '../settlement/standing.sql';

export type ArchivedRow = {
  readonly settlement_id: string;
  readonly site_id: string;
  readonly number: string;
  readonly size_bytes: number;
  readonly pdf_digest: Buffer;
  readonly stored_at: Date;
  readonly reversed: boolean;
};

/** A run's first day, whether statements of it are being made at this moment, and the numbers that have none and are not. */
export type RunForArchive = { readonly starts_on: string; readonly in_preparation: boolean; readonly not_made: readonly string[] };

export async function readRunForArchive(tx: TenantTransaction, closeRunId: string): Promise<RunForArchive | undefined> {
  const { rows } = await tx.sql<RunForArchive>(
    `SELECT r.starts_on,
            EXISTS (SELECT FROM work_batch b WHERE b.tenant_id = r.tenant_id AND b.close_run_id = r.id AND b.task IN ('number', 'render') AND b.state = 'waiting') AS in_preparation,
            ARRAY(SELECT s.number FROM settlement s WHERE s.tenant_id = r.tenant_id AND s.close_run_id = r.id AND s.state = 'numbered' ORDER BY s.number_year, s.number_serial) AS not_made
       FROM close_run r WHERE r.tenant_id = $1 AND r.id = $2`,
    [tx.tenantId, closeRunId],
  );
  return rows[0];
}

/** The statements of a run by their number, without their bytes. */
export async function readArchived(tx: TenantTransaction, closeRunId: string): Promise<ArchivedRow[]> {
  const { rows } = await tx.sql<ArchivedRow>(
    `SELECT t.settlement_id, s.site_id, s.number, octet_length(t.pdf) AS size_bytes, t.pdf_digest, t.stored_at, ${isReversed('s')} AS reversed
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
