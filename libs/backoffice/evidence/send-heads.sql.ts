import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

export type SentRow = { sent_on: string; size: bigint };

/** The head that went out last. */
export async function selectLastSent(tx: TenantTransaction): Promise<SentRow | null> {
  const { rows } = await tx.sql<SentRow>('SELECT sent_on, size FROM evidence_head_sent WHERE tenant_id = $1 ORDER BY sent_on DESC LIMIT 1', [tx.tenantId]);
  return rows[0] ?? null;
}

/** Two workers may have sent the head of one day; one of them takes it down. */
export async function insertSent(tx: TenantTransaction, sent: { sentOn: string; size: bigint; root: Uint8Array; addresses: number; now: Date }): Promise<void> {
  await tx.sql(
    'INSERT INTO evidence_head_sent (tenant_id, sent_on, size, root, addresses, sent_at) VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT DO NOTHING',
    [tx.tenantId, sent.sentOn, sent.size, sent.root, sent.addresses, sent.now],
  );
}

export type MailedRow = { readonly sent_on: LocalDate; readonly sent_at: Date; readonly size: bigint; readonly root: Buffer; readonly addresses: number };

/** Heads that went out, the newest first; `before` continues a list. */
export async function selectMailed(tx: TenantTransaction, query: { before: string | null; limit: number }): Promise<MailedRow[]> {
  const { rows } = await tx.sql<MailedRow>(
    'SELECT sent_on, sent_at, size, root, addresses FROM evidence_head_sent WHERE tenant_id = $1 AND ($2::date IS NULL OR sent_on < $2) ORDER BY sent_on DESC LIMIT $3',
    [tx.tenantId, query.before, query.limit],
  );
  return rows;
}
