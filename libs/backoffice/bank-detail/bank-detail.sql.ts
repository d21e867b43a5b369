import type { TenantTransaction } from '#database/tenant';
import type { BankDetailState } from '#contracts/bank-detail';
import { madeAlone } from '../policy/policy.sql';

export type BankDetailRow = {
  readonly id: string;
  readonly party_id: string | null;
  readonly party_name: string | null;
  readonly kind: 'iban' | 'us';
  readonly sealed_account: Buffer;
  readonly country: string;
  readonly ending: string;
  readonly reason: string;
  readonly proposed_at: Date;
  readonly proposed_by: string;
  readonly decided: 'confirmed' | 'rejected' | null;
  readonly decided_at: Date | null;
  readonly decided_by: string | null;
  readonly decision_reason: string | null;
  readonly withdrawn_at: Date | null;
  readonly withdrawn_by: string | null;
  readonly withdrawal_reason: string | null;
  readonly state: BankDetailState;
  readonly made_alone: boolean;
  readonly announced_at: Date | null;
};

const details = `
  SELECT d.id, d.party_id, p.name AS party_name, d.kind, d.sealed_account, d.country, d.ending, d.reason, d.proposed_at, d.proposed_by,
         e.kind AS decided, e.happened_at AS decided_at, e.happened_by AS decided_by, e.reason AS decision_reason,
         w.happened_at AS withdrawn_at, w.happened_by AS withdrawn_by, w.reason AS withdrawal_reason, ${madeAlone('d')}, n.sent_at AS announced_at,
         CASE WHEN e.kind IS NULL THEN 'proposed' WHEN e.kind = 'rejected' THEN 'rejected' WHEN w.kind IS NOT NULL THEN 'withdrawn'
              WHEN EXISTS (SELECT FROM bank_detail later
                             JOIN bank_detail_event decided ON decided.tenant_id = later.tenant_id AND decided.bank_detail_id = later.id AND decided.kind = 'confirmed'
                            WHERE later.tenant_id = d.tenant_id AND later.party_id IS NOT DISTINCT FROM d.party_id AND later.id <> d.id
                              AND (decided.happened_at, later.id) > (e.happened_at, d.id)) THEN 'replaced'
              ELSE 'in-force' END AS state
    FROM bank_detail d
    LEFT JOIN party p ON p.tenant_id = d.tenant_id AND p.id = d.party_id
    LEFT JOIN bank_detail_event e ON e.tenant_id = d.tenant_id AND e.bank_detail_id = d.id AND e.kind <> 'withdrawn'
    LEFT JOIN bank_detail_event w ON w.tenant_id = d.tenant_id AND w.bank_detail_id = d.id AND w.kind = 'withdrawn'
    LEFT JOIN bank_detail_notice n ON n.tenant_id = d.tenant_id AND n.bank_detail_id = d.id
          AND n.about = CASE WHEN w.kind IS NOT NULL THEN 'withdrawn' ELSE coalesce(e.kind, 'proposed') END
   WHERE d.tenant_id = $1 AND d.erased_at IS NULL`;

export async function selectBankDetail(tx: TenantTransaction, id: string): Promise<BankDetailRow | null> {
  return (await tx.sql<BankDetailRow>(`${details} AND d.id = $2`, [tx.tenantId, id])).rows[0] ?? null;
}

export type BankDetailFilter = {
  readonly partyId: string | null;
  readonly of: 'operator' | 'payees' | null;
  readonly state: BankDetailState | null;
  readonly after: readonly [proposedAt: string, id: string] | null;
  readonly limit: number;
};

/** The newest first. */
export async function selectBankDetails(tx: TenantTransaction, list: BankDetailFilter): Promise<BankDetailRow[]> {
  const { rows } = await tx.sql<BankDetailRow>(
    `SELECT * FROM (${details} AND ($2::uuid IS NULL OR d.party_id = $2) AND ($3::text IS NULL OR (d.party_id IS NULL) = ($3 = 'operator'))) x
      WHERE ($4::text IS NULL OR x.state = $4) AND ($5::timestamptz IS NULL OR (x.proposed_at, x.id) < ($5, $6::uuid))
      ORDER BY x.proposed_at DESC, x.id DESC LIMIT $7`,
    [tx.tenantId, list.partyId, list.of, list.state, list.after?.[0] ?? null, list.after?.[1] ?? null, list.limit + 1],
  );
  return rows;
}

/** What is in force for each of these parties, and for the operator itself. */
export async function selectInForce(tx: TenantTransaction, partyIds: readonly string[]): Promise<BankDetailRow[]> {
  const { rows } = await tx.sql<BankDetailRow>(`SELECT * FROM (${details} AND (d.party_id IS NULL OR d.party_id = ANY ($2::uuid[]))) x WHERE x.state = 'in-force'`, [tx.tenantId, partyIds]);
  return rows;
}

/** Which of these parties are paid to an account. */
export async function partiesWithAccount(tx: TenantTransaction, partyIds: readonly string[]): Promise<ReadonlySet<string>> {
  const { rows } = await tx.sql<{ party_id: string }>(`SELECT DISTINCT x.party_id FROM (${details} AND d.party_id = ANY ($2::uuid[])) x WHERE x.state = 'in-force'`, [tx.tenantId, partyIds]);
  return new Set(rows.map((row) => row.party_id));
}

/** One decision about the accounts of a payee after the other: two that are confirmed at once must not both be in force. */
export async function lockBankDetails(tx: TenantTransaction, partyId: string | null): Promise<void> {
  await tx.sql(`SELECT pg_advisory_xact_lock(hashtextextended('bank-detail:' || $1 || coalesce($2, ''), 0))`, [tx.tenantId, partyId]);
}

export async function insertBankDetail(
  tx: TenantTransaction,
  made: { id: string; partyId: string | null; kind: 'iban' | 'us'; sealedAccount: Buffer; dataKeyId: string; country: string; ending: string; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO bank_detail (tenant_id, id, party_id, kind, sealed_account, data_key_id, country, ending, reason, proposed_at, proposed_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)`,
    [tx.tenantId, made.id, made.partyId, made.kind, made.sealedAccount, made.dataKeyId, made.country, made.ending, made.reason, made.now, tx.actor],
  );
}

export async function insertBankDetailEvent(
  tx: TenantTransaction,
  event: { bankDetailId: string; kind: 'confirmed' | 'rejected' | 'withdrawn'; reason: string | null; now: Date },
): Promise<void> {
  await tx.sql('INSERT INTO bank_detail_event (tenant_id, bank_detail_id, kind, reason, happened_at, happened_by) VALUES ($1, $2, $3, $4, $5, $6)', [
    tx.tenantId,
    event.bankDetailId,
    event.kind,
    event.reason,
    event.now,
    tx.actor,
  ]);
}
