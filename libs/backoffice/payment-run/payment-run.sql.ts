import type { PaymentRunState, RefusedBecause } from '#contracts/payment-run';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { onlyRow } from '../rows';

export type PaymentRunRow = {
  readonly id: string;
  readonly state: PaymentRunState;
  readonly kind: 'iban' | 'us';
  readonly from_detail_id: string;
  readonly from_country: string;
  readonly from_ending: string;
  readonly from_sealed: Buffer;
  readonly currency: CurrencyCode;
  readonly execute_on: LocalDate;
  readonly transfers: number;
  readonly sum_minor: bigint;
  readonly created_at: Date;
  readonly created_by: string;
  readonly file_made_at: Date | null;
  readonly file_made_by: string | null;
  readonly sealed_file: Buffer | null;
  readonly file_sha256: Buffer | null;
  readonly entry_hash: string | null;
  /** The first time. */
  readonly downloaded_at: Date | null;
  readonly downloaded_by: string | null;
  readonly sent_on: LocalDate | null;
  readonly sent_at: Date | null;
  readonly sent_by: string | null;
  readonly paid_on: LocalDate | null;
  readonly recorded_at: Date | null;
  readonly recorded_by: string | null;
  readonly cancelled_at: Date | null;
  readonly cancelled_by: string | null;
  readonly cancel_reason: string | null;
};

const runs = `
  SELECT r.*, d.country AS from_country, d.ending AS from_ending, d.sealed_account AS from_sealed
    FROM payment_run r JOIN bank_detail d ON d.tenant_id = r.tenant_id AND d.id = r.from_detail_id WHERE r.tenant_id = $1`;

export async function selectRun(tx: TenantTransaction, id: string): Promise<PaymentRunRow | null> {
  return (await tx.sql<PaymentRunRow>(`${runs} AND r.id = $2`, [tx.tenantId, id])).rows[0] ?? null;
}

/** A run that there is. */
export async function presentRun(tx: TenantTransaction, id: string): Promise<PaymentRunRow> {
  return onlyRow((await tx.sql<PaymentRunRow>(`${runs} AND r.id = $2`, [tx.tenantId, id])).rows);
}

/** The newest first. */
export async function selectRuns(
  tx: TenantTransaction,
  list: { readonly state: PaymentRunState | null; readonly after: readonly [createdAt: string, id: string] | null; readonly limit: number },
): Promise<PaymentRunRow[]> {
  const { rows } = await tx.sql<PaymentRunRow>(
    `${runs} AND ($2::text IS NULL OR r.state = $2) AND ($3::timestamptz IS NULL OR (r.created_at, r.id) < ($3, $4::uuid)) ORDER BY r.created_at DESC, r.id DESC LIMIT $5`,
    [tx.tenantId, list.state, list.after?.[0] ?? null, list.after?.[1] ?? null, list.limit + 1],
  );
  return rows;
}

/** One run is drafted, made or sent after the other, so that no settlement is taken by two at once. */
export async function lockRuns(tx: TenantTransaction): Promise<void> {
  await tx.sql(`SELECT pg_advisory_xact_lock(hashtextextended('payment-run:' || $1, 0))`, [tx.tenantId]);
}

export type NewTransfer = {
  readonly id: string;
  readonly agreementId: string;
  readonly siteId: string;
  readonly partyId: string;
  readonly bankDetailId: string;
  readonly amountMinor: bigint;
  readonly onAccountMinor: bigint;
  readonly items: readonly { readonly openItemId: string; readonly amountMinor: bigint }[];
};

export async function insertRun(
  tx: TenantTransaction,
  run: { id: string; kind: 'iban' | 'us'; fromDetailId: string; currency: CurrencyCode; executeOn: LocalDate; transfers: readonly NewTransfer[]; now: Date },
): Promise<void> {
  const { transfers } = run;
  const sumMinor = transfers.reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
  await tx.sql(
    `INSERT INTO payment_run (tenant_id, id, state, kind, from_detail_id, currency, execute_on, transfers, sum_minor, created_at, created_by)
     VALUES ($1, $2, 'draft', $3, $4, $5, $6, $7, $8, $9, $10)`,
    [tx.tenantId, run.id, run.kind, run.fromDetailId, run.currency, run.executeOn, transfers.length, sumMinor, run.now, tx.actor],
  );
  await tx.sql(
    `INSERT INTO payment_run_transfer (tenant_id, id, run_id, position, agreement_id, site_id, party_id, bank_detail_id, currency, amount_minor, on_account_minor)
     SELECT $1, t.id, $2, t.position, t.agreement_id, t.site_id, t.party_id, t.bank_detail_id, $3, t.amount_minor, t.on_account_minor
       FROM unnest($4::uuid[], $5::uuid[], $6::uuid[], $7::uuid[], $8::uuid[], $9::bigint[], $10::bigint[])
            WITH ORDINALITY AS t (id, agreement_id, site_id, party_id, bank_detail_id, amount_minor, on_account_minor, position)`,
    [
      tx.tenantId, run.id, run.currency, transfers.map(({ id }) => id), transfers.map(({ agreementId }) => agreementId), transfers.map(({ siteId }) => siteId),
      transfers.map(({ partyId }) => partyId), transfers.map(({ bankDetailId }) => bankDetailId), transfers.map(({ amountMinor }) => amountMinor),
      transfers.map(({ onAccountMinor }) => onAccountMinor),
    ],
  );
  const items = transfers.flatMap((transfer) => transfer.items.map((item) => ({ ...item, transferId: transfer.id })));
  await tx.sql(
    `INSERT INTO payment_run_item (tenant_id, transfer_id, open_item_id, amount_minor) SELECT $1, i.* FROM unnest($2::uuid[], $3::uuid[], $4::bigint[]) AS i`,
    [tx.tenantId, items.map(({ transferId }) => transferId), items.map(({ openItemId }) => openItemId), items.map(({ amountMinor }) => amountMinor)],
  );
}

export type TransferRow = {
  readonly id: string;
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly party_id: string;
  readonly party_name: string;
  readonly bank_detail_id: string;
  readonly country: string;
  readonly ending: string;
  readonly sealed_account: Buffer;
  readonly amount_minor: bigint;
  readonly on_account_minor: bigint;
  readonly payment_id: string | null;
  readonly refused_because: RefusedBecause | null;
};

export async function selectTransfers(tx: TenantTransaction, runId: string): Promise<TransferRow[]> {
  const { rows } = await tx.sql<TransferRow>(
    `SELECT t.id, t.agreement_id, t.site_id, s.code AS site_code, s.name AS site_name, t.party_id, p.name AS party_name, t.bank_detail_id, d.country, d.ending, d.sealed_account,
            t.amount_minor, t.on_account_minor, t.payment_id, t.refused_because
       FROM payment_run_transfer t
       JOIN site s ON s.tenant_id = t.tenant_id AND s.id = t.site_id
       JOIN party p ON p.tenant_id = t.tenant_id AND p.id = t.party_id
       JOIN bank_detail d ON d.tenant_id = t.tenant_id AND d.id = t.bank_detail_id
      WHERE t.tenant_id = $1 AND t.run_id = $2 ORDER BY t.position`,
    [tx.tenantId, runId],
  );
  return rows;
}

export type RunItemRow = {
  readonly transfer_id: string;
  readonly open_item_id: string;
  readonly settlement_id: string;
  readonly number: string;
  readonly amount_minor: bigint;
  readonly released: boolean;
};

/** The oldest first. */
export async function selectRunItems(tx: TenantTransaction, runId: string): Promise<RunItemRow[]> {
  const { rows } = await tx.sql<RunItemRow>(
    `SELECT r.transfer_id, r.open_item_id, i.settlement_id, x.number, r.amount_minor, r.released_at IS NOT NULL AS released
       FROM payment_run_item r
       JOIN payment_run_transfer t ON t.tenant_id = r.tenant_id AND t.id = r.transfer_id
       JOIN open_item i ON i.tenant_id = r.tenant_id AND i.id = r.open_item_id
       JOIN settlement x ON x.tenant_id = i.tenant_id AND x.id = i.settlement_id
      WHERE r.tenant_id = $1 AND t.run_id = $2 ORDER BY t.position, i.dated_on, i.id`,
    [tx.tenantId, runId],
  );
  return rows;
}

export async function updateFileMade(
  tx: TenantTransaction,
  made: { id: string; on: LocalDate; sealedFile: Buffer; dataKeyId: string; sha256: Buffer; entryHash: string | null; now: Date },
): Promise<void> {
  await tx.sql(
    `UPDATE payment_run SET state = 'file-made', file_made_at = $3, file_made_on = $4, file_made_by = $5, sealed_file = $6, data_key_id = $7, file_sha256 = $8, entry_hash = $9
      WHERE tenant_id = $1 AND id = $2`,
    [tx.tenantId, made.id, made.now, made.on, tx.actor, made.sealedFile, made.dataKeyId, made.sha256, made.entryHash],
  );
}

/** How many files of this kind were made on a day. */
export async function countFilesMade(tx: TenantTransaction, asked: { readonly on: LocalDate; readonly kind: 'iban' | 'us' }): Promise<number> {
  const { rows } = await tx.sql<{ files: number }>('SELECT count(*)::integer AS files FROM payment_run WHERE tenant_id = $1 AND file_made_on = $2 AND kind = $3', [tx.tenantId, asked.on, asked.kind]);
  return rows[0]?.files ?? 0;
}

export async function updateDownloaded(tx: TenantTransaction, downloaded: { id: string; now: Date }): Promise<void> {
  await tx.sql('UPDATE payment_run SET downloaded_at = $3, downloaded_by = $4 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, downloaded.id, downloaded.now, tx.actor]);
}

export async function updateSent(tx: TenantTransaction, sent: { id: string; sentOn: LocalDate; now: Date }): Promise<void> {
  await tx.sql(`UPDATE payment_run SET state = 'sent', sent_on = $3, sent_at = $4, sent_by = $5 WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, sent.id, sent.sentOn, sent.now, tx.actor]);
}

export async function updatePaid(tx: TenantTransaction, paid: { id: string; paidOn: LocalDate; payments: readonly { transferId: string; paymentId: string }[]; now: Date }): Promise<void> {
  await tx.sql(
    `UPDATE payment_run_transfer t SET payment_id = p.payment_id FROM unnest($2::uuid[], $3::uuid[]) AS p (transfer_id, payment_id) WHERE t.tenant_id = $1 AND t.id = p.transfer_id`,
    [tx.tenantId, paid.payments.map(({ transferId }) => transferId), paid.payments.map(({ paymentId }) => paymentId)],
  );
  await tx.sql(`UPDATE payment_run SET state = 'paid', paid_on = $3, recorded_at = $4, recorded_by = $5 WHERE tenant_id = $1 AND id = $2`, [tx.tenantId, paid.id, paid.paidOn, paid.now, tx.actor]);
}

/** Transfers that the bank refused, and why; their settlements are free for another run. */
export async function updateRefused(tx: TenantTransaction, refused: { transfers: readonly { transferId: string; because: RefusedBecause }[]; now: Date }): Promise<void> {
  const ids = refused.transfers.map(({ transferId }) => transferId);
  await tx.sql(`UPDATE payment_run_transfer t SET refused_because = r.because FROM unnest($2::uuid[], $3::text[]) AS r (transfer_id, because) WHERE t.tenant_id = $1 AND t.id = r.transfer_id`, [
    tx.tenantId,
    ids,
    refused.transfers.map(({ because }) => because),
  ]);
  await tx.sql('UPDATE payment_run_item SET released_at = $3 WHERE tenant_id = $1 AND transfer_id = ANY ($2::uuid[]) AND released_at IS NULL', [tx.tenantId, ids, refused.now]);
}

/** What is left of items that a transfer paid in part is free for another run. */
export async function releaseItems(tx: TenantTransaction, released: { transferId: string; openItemIds: readonly string[]; now: Date }): Promise<void> {
  await tx.sql('UPDATE payment_run_item SET released_at = $4 WHERE tenant_id = $1 AND transfer_id = $2 AND open_item_id = ANY ($3::uuid[]) AND released_at IS NULL', [
    tx.tenantId,
    released.transferId,
    released.openItemIds,
    released.now,
  ]);
}

/** Its settlements are free for another run. */
export async function updateCancelled(tx: TenantTransaction, cancelled: { id: string; reason: string; now: Date }): Promise<void> {
  await tx.sql(
    `UPDATE payment_run_item i SET released_at = $3 FROM payment_run_transfer t
      WHERE t.tenant_id = $1 AND t.run_id = $2 AND i.tenant_id = t.tenant_id AND i.transfer_id = t.id AND i.released_at IS NULL`,
    [tx.tenantId, cancelled.id, cancelled.now],
  );
  await tx.sql(`UPDATE payment_run SET state = 'cancelled', cancelled_at = $3, cancelled_by = $4, cancel_reason = $5 WHERE tenant_id = $1 AND id = $2`, [
    tx.tenantId,
    cancelled.id,
    cancelled.now,
    tx.actor,
    cancelled.reason,
  ]);
}
