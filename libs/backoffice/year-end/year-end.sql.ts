import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Arrangement } from '#domain/terms/types';
import { isReversed } from '../settlement/standing.sql';

export type OwedRow = {
  readonly site_id: string;
  readonly party_id: string;
  readonly currency: CurrencyCode;
  readonly arrangement: Arrangement;
  readonly booked_on: LocalDate;
  readonly income_minor: bigint;
  readonly passed_on_minor: bigint;
  /** Worked off of advances, and deducted for thefts that the payee answers for: received on the day of the books. */
  readonly set_off_minor: bigint;
};

/** What issued settlements that stand owed each payee, in the order of the books; the arrangement is that of the terms in force at their end. */
export async function selectOwed(tx: TenantTransaction): Promise<OwedRow[]> {
  const { rows } = await tx.sql<OwedRow>(
    `SELECT x.site_id, owed.party::uuid AS party_id, x.currency, x.accounting_date AS booked_on, owed.income_minor, owed.passed_on_minor, owed.set_off_minor,
            (SELECT v.terms->>'arrangement' FROM agreement_version v
              WHERE v.tenant_id = x.tenant_id AND v.agreement_id = x.agreement_id AND v.withdrawn_at IS NULL
              ORDER BY v.effective_from < x.ends_before DESC, CASE WHEN v.effective_from < x.ends_before THEN x.ends_before - v.effective_from ELSE v.effective_from - x.ends_before END LIMIT 1) AS arrangement
       FROM settlement x
       JOIN (SELECT l.settlement_id, l.party,
                    coalesce(sum(l.amount_minor) FILTER (WHERE l.kind IN ('payee-share', 'payee-charge')), 0)::bigint AS income_minor,
                    coalesce(sum(l.amount_minor) FILTER (WHERE l.kind IN ('payee-refund', 'payee-tax')), 0)::bigint AS passed_on_minor,
                    coalesce(-sum(l.amount_minor) FILTER (WHERE l.kind IN ('payee-advance', 'payee-break-in')), 0)::bigint AS set_off_minor
               FROM settlement_line l WHERE l.tenant_id = $1 AND l.step = 'payout' AND l.party IS NOT NULL GROUP BY l.settlement_id, l.party) owed
         ON owed.settlement_id = x.id
      WHERE x.tenant_id = $1 AND x.state = 'issued' AND NOT ${isReversed('x')}
      ORDER BY x.accounting_date, x.starts_on, x.round, x.id`,
    [tx.tenantId],
  );
  return rows;
}

export type ReceivedRow = { readonly site_id: string; readonly party_id: string; readonly currency: CurrencyCode; readonly received_on: LocalDate; readonly amount_minor: bigint };

/** Money that payees got, below zero what they paid: cash of accepted collections as it stands corrected, and payments that did not come back. */
export async function selectReceived(tx: TenantTransaction): Promise<ReceivedRow[]> {
  const { rows } = await tx.sql<ReceivedRow>(
    `SELECT h.site_id, h.party_id, h.currency, c.local_date AS received_on, h.amount_minor
       FROM cash_handed h JOIN collection c ON c.tenant_id = h.tenant_id AND c.id = h.collection_id
      WHERE h.tenant_id = $1 AND c.state = 'accepted' AND NOT EXISTS (SELECT FROM cash_handed newer WHERE newer.tenant_id = h.tenant_id AND newer.replaces_id = h.id)
     UNION ALL
     SELECT y.site_id, y.party_id, y.currency, y.paid_on, y.amount_minor
       FROM payment y
      WHERE y.tenant_id = $1 AND NOT EXISTS (SELECT FROM payment_return r WHERE r.tenant_id = y.tenant_id AND r.payment_id = y.id)`,
    [tx.tenantId],
  );
  return rows;
}

export type PayeeRow = { readonly id: string; readonly code: string; readonly name: string; readonly address: string[]; readonly ending: string | null; readonly sealed_number: Buffer | null };

/** These parties by code, each with the taxpayer number that was recorded last. */
export async function selectPayees(tx: TenantTransaction, partyIds: readonly string[]): Promise<PayeeRow[]> {
  const { rows } = await tx.sql<PayeeRow>(
    `SELECT p.id, p.code, p.name, p.address, n.ending, n.sealed_number
       FROM party p
       LEFT JOIN LATERAL (SELECT ending, sealed_number FROM taxpayer_number n WHERE n.tenant_id = $1 AND n.party_id = p.id ORDER BY n.recorded_at DESC, n.id DESC LIMIT 1) n ON true
      WHERE p.tenant_id = $1 AND p.id = ANY ($2::uuid[]) ORDER BY p.code`,
    [tx.tenantId, partyIds],
  );
  return rows;
}

export async function insertTaxpayerNumber(
  tx: TenantTransaction,
  made: { id: string; partyId: string; sealedNumber: Buffer; dataKeyId: string; ending: string; now: Date },
): Promise<void> {
  await tx.sql(
    'INSERT INTO taxpayer_number (tenant_id, id, party_id, sealed_number, data_key_id, ending, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)',
    [tx.tenantId, made.id, made.partyId, made.sealedNumber, made.dataKeyId, made.ending, made.now, tx.actor],
  );
}
