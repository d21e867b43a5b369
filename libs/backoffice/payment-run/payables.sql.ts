import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import { writtenOffOf } from '../open-item/write-off.sql';
import { onAccountMinorOf } from '../payment/shift.sql';
import { isReversed } from '../settlement/standing.sql';

export type PayableRow = {
  readonly open_item_id: string;
  readonly settlement_id: string;
  readonly number: string;
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly party_id: string;
  readonly party_name: string;
  readonly open_minor: bigint;
};

/**
 * What is open of issued settlements to payees, in one currency: by site and payee, the oldest first. `runId` null: what is
 * in no run and not disputed; else what is left of the items of that run.
 */
export async function selectPayables(tx: TenantTransaction, asked: { readonly currency: CurrencyCode; readonly runId: string | null }): Promise<PayableRow[]> {
  const inRun = `EXISTS (SELECT FROM payment_run_item r JOIN payment_run_transfer t ON t.tenant_id = r.tenant_id AND t.id = r.transfer_id
                          WHERE r.tenant_id = i.tenant_id AND r.open_item_id = i.id AND r.released_at IS NULL AND ($3::uuid IS NULL OR t.run_id = $3))`;
  const { rows } = await tx.sql<PayableRow>(
    `SELECT * FROM (
       SELECT i.id AS open_item_id, i.settlement_id, x.number, i.agreement_id, i.site_id, s.code AS site_code, s.name AS site_name, i.party_id, p.name AS party_name,
              i.dated_on, i.amount_minor - ${writtenOffOf('i')}
                - (SELECT coalesce(sum(m.amount_minor), 0) FROM payment_match m WHERE m.tenant_id = i.tenant_id AND m.open_item_id = i.id)::bigint AS open_minor
         FROM open_item i
         JOIN settlement x ON x.tenant_id = i.tenant_id AND x.id = i.settlement_id
         JOIN site s ON s.tenant_id = i.tenant_id AND s.id = i.site_id
         JOIN party p ON p.tenant_id = i.tenant_id AND p.id = i.party_id
        WHERE i.tenant_id = $1 AND i.currency = $2 AND i.amount_minor > 0 AND x.state = 'issued' AND NOT ${isReversed('x')}
          AND CASE WHEN $3::uuid IS NULL THEN NOT ${inRun} ELSE ${inRun} END
          AND NOT coalesce((SELECT e.kind = 'held' FROM open_item_event e WHERE e.tenant_id = i.tenant_id AND e.open_item_id = i.id ORDER BY e.position DESC LIMIT 1), false)) y
      WHERE open_minor > 0 ORDER BY site_code, party_name, party_id, agreement_id, dated_on, open_item_id`,
    [tx.tenantId, asked.currency, asked.runId],
  );
  return rows;
}

export type KeptBackRow = { readonly agreement_id: string; readonly party_id: string; readonly kept_back_minor: bigint };

/** What runs that are not finished, but for the one named, keep back because it was paid on account under these agreements. */
export async function selectKeptBack(tx: TenantTransaction, asked: { readonly agreementIds: readonly string[]; readonly exceptRunId: string | null }): Promise<KeptBackRow[]> {
  const { rows } = await tx.sql<KeptBackRow>(
    `SELECT t.agreement_id, t.party_id, sum(t.on_account_minor)::bigint AS kept_back_minor
       FROM payment_run_transfer t JOIN payment_run r ON r.tenant_id = t.tenant_id AND r.id = t.run_id
      WHERE t.tenant_id = $1 AND t.agreement_id = ANY ($2::uuid[]) AND r.state IN ('draft', 'file-made', 'sent') AND r.id IS DISTINCT FROM $3::uuid
      GROUP BY t.agreement_id, t.party_id`,
    [tx.tenantId, asked.agreementIds, asked.exceptRunId],
  );
  return rows;
}

export type OnAccountRow = { readonly payment_id: string; readonly agreement_id: string; readonly party_id: string; readonly on_account_minor: bigint };

/** Payments to payees that wait on account under these agreements, the oldest first. */
export async function selectOnAccount(tx: TenantTransaction, agreementIds: readonly string[]): Promise<OnAccountRow[]> {
  const { rows } = await tx.sql<OnAccountRow>(
    `SELECT * FROM (
       SELECT y.id AS payment_id, y.agreement_id, y.party_id, y.paid_on, ${onAccountMinorOf('y')} AS on_account_minor
         FROM payment y
        WHERE y.tenant_id = $1 AND y.agreement_id = ANY ($2::uuid[]) AND y.amount_minor > 0
          AND NOT EXISTS (SELECT FROM payment_return r WHERE r.tenant_id = y.tenant_id AND r.payment_id = y.id)
          AND NOT EXISTS (SELECT FROM payment_set_off o JOIN settlement x ON x.tenant_id = o.tenant_id AND x.id = o.settlement_id
                           WHERE o.tenant_id = y.tenant_id AND o.payment_id = y.id AND NOT ${isReversed('x')})) z
      WHERE on_account_minor > 0 ORDER BY paid_on, payment_id`,
    [tx.tenantId, agreementIds],
  );
  return rows;
}
