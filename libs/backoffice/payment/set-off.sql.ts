import type { TenantTransaction } from '#database/tenant';
import { isReversed } from '../settlement/standing.sql';
import { onAccountMinorOf } from './shift.sql';

/** A payment on account; the amount as text, because it comes as JSON, and below zero where the payee paid. */
export type OnAccountRow = {
  readonly id: string;
  readonly party_id: string;
  readonly paid_on: string;
  readonly amount_minor: string;
};

/**
 * SQL of a JSON list: the payments on account of the agreement that row `alias` names which no settlement that stands has
 * taken into its figures, as {@link OnAccountRow}. A part of a larger statement, for a close reads it for every site.
 */
export function onAccountOf(alias: string): string {
  return `(SELECT coalesce(json_agg(json_build_object('id', y.id, 'party_id', y.party_id, 'paid_on', y.paid_on, 'amount_minor', ${onAccountMinorOf('y')}::text) ORDER BY y.id), '[]')
             FROM payment y
            WHERE y.tenant_id = ${alias}.tenant_id AND y.agreement_id = ${alias}.agreement_id AND ${onAccountMinorOf('y')} <> 0
              AND NOT EXISTS (SELECT FROM payment_return r WHERE r.tenant_id = y.tenant_id AND r.payment_id = y.id)
              AND NOT EXISTS (SELECT FROM payment_set_off o JOIN settlement x ON x.tenant_id = o.tenant_id AND x.id = o.settlement_id
                               WHERE o.tenant_id = y.tenant_id AND o.payment_id = y.id AND NOT ${isReversed('x')}))`;
}

/** Says which settlement took which payment on account. The round counts those that were reversed since; each is taken once per round. */
export async function insertSetOffs(tx: TenantTransaction, taken: readonly { paymentId: string; settlementId: string }[]): Promise<void> {
  if (taken.length === 0) return;
  await tx.sql(
    `INSERT INTO payment_set_off (tenant_id, payment_id, round, settlement_id)
     SELECT $1, t.payment_id, 1 + (SELECT count(*) FROM payment_set_off o WHERE o.tenant_id = $1 AND o.payment_id = t.payment_id), t.settlement_id
       FROM unnest($2::uuid[], $3::uuid[]) AS t (payment_id, settlement_id)`,
    [tx.tenantId, taken.map((each) => each.paymentId), taken.map((each) => each.settlementId)],
  );
}
