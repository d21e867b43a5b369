import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { answersNone, isOpen, upTo } from '../refund-claim/take-over.sql';

/** A sum of refund slips of a file, of a machine of which claims lay open up to that day. */
export type RefundRow = {
  line_number: number | null;
  collection_id: string | null;
  site_id: string;
  site_code: string;
  machine_id: string;
  machine_tag: string;
  day: LocalDate;
  currency: CurrencyCode;
  amount_minor: bigint;
};
export type ClaimRow = { id: string; site_id: string; machine_id: string; refunded_on: LocalDate; amount_minor: bigint };

/** Refunds of a file that waits, in the order in which their visits would enter. */
export async function selectWaitingRefunds(tx: TenantTransaction, fileId: string): Promise<RefundRow[]> {
  const { rows } = await tx.sql<RefundRow>(
    `SELECT r.line_number, NULL AS collection_id, r.site_id, s.code AS site_code, r.machine_id, m.tag AS machine_tag, r.refunded_on AS day, r.currency, r.amount_minor
       FROM (SELECT row.*, row.local_date AS refunded_on, row.refund_minor AS amount_minor FROM import_row row WHERE row.tenant_id = $1 AND row.import_file_id = $2 AND row.refund_minor > 0) r
       JOIN site s ON s.tenant_id = $1 AND s.id = r.site_id
       JOIN machine m ON m.tenant_id = $1 AND m.id = r.machine_id
      WHERE EXISTS (SELECT FROM refund_claim o WHERE ${upTo}) ORDER BY r.collected_at, r.line_number`,
    [tx.tenantId, fileId],
  );
  return rows;
}

/** Refunds of a file that was accepted, as they stand, that answer no claim though some lie open. */
export async function selectUnansweredRefunds(tx: TenantTransaction, { fileId, limit }: { readonly fileId: string; readonly limit: number }): Promise<RefundRow[]> {
  const { rows } = await tx.sql<RefundRow>(
    `SELECT NULL::int AS line_number, v.id AS collection_id, r.site_id, s.code AS site_code, r.machine_id, m.tag AS machine_tag, r.refunded_on AS day, r.currency, r.amount_minor
       FROM refund_slip r
       JOIN collection v ON v.tenant_id = $1 AND v.id = r.collection_id
       JOIN site s ON s.tenant_id = $1 AND s.id = r.site_id
       JOIN machine m ON m.tenant_id = $1 AND m.id = r.machine_id
      WHERE r.tenant_id = $1 AND v.import_file_id = $2 AND ${answersNone} AND EXISTS (SELECT FROM refund_claim o WHERE ${upTo})
      ORDER BY v.happened_at, r.id LIMIT $3`,
    [tx.tenantId, fileId, limit],
  );
  return rows;
}

/** Open claims of machines, the oldest first. */
export async function selectOpenClaimsOf(tx: TenantTransaction, machineIds: readonly string[]): Promise<ClaimRow[]> {
  const { rows } = await tx.sql<ClaimRow>(
    `SELECT c.id, c.site_id, c.machine_id, c.refunded_on, c.amount_minor FROM refund_claim c
      WHERE c.tenant_id = $1 AND c.machine_id = ANY ($2::uuid[]) AND ${isOpen('c')} ORDER BY c.refunded_on, c.id`,
    [tx.tenantId, machineIds],
  );
  return rows;
}
