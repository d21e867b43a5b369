import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { isReversed } from '../settlement/standing.sql';
import { announcePaid } from '../webhook/announce.sql';
import { onAccountMinorOf } from './shift.sql';

export type Method = 'bank' | 'cash' | 'other';

export type NewPayment = {
  readonly id: string;
  readonly kind: 'settling' | 'on-account';
  readonly agreementId: string;
  readonly siteId: string;
  readonly partyId: string;
  readonly currency: CurrencyCode;
  /** What it settles and what changed hands; above zero to the payee, below zero from it. */
  readonly amountMinor: bigint;
  readonly paidMinor: bigint;
  readonly method: Method;
  readonly reference: string;
  readonly paidOn: LocalDate;
  readonly accountingDate: LocalDate;
};

export async function insertPayment(tx: TenantTransaction, payment: NewPayment, now: Date): Promise<void> {
  await tx.sql(
    `INSERT INTO payment (tenant_id, id, kind, agreement_id, site_id, party_id, currency, amount_minor, paid_minor, method, reference, paid_on,
            accounting_date, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)`,
    [
      tx.tenantId,
      payment.id,
      payment.kind,
      payment.agreementId,
      payment.siteId,
      payment.partyId,
      payment.currency,
      payment.amountMinor,
      payment.paidMinor,
      payment.method,
      payment.reference,
      payment.paidOn,
      payment.accountingDate,
      now,
      tx.actor,
    ],
  );
}

export type NewMatch = { readonly id: string; readonly openItemId: string; readonly amountMinor: bigint };

/** Matches of one payment, all of one kind, and the news of what they leave nothing open of. Amounts are of the sign of the payment, or against it when they take one back. */
export async function insertMatches(
  tx: TenantTransaction,
  written: {
    payment: Pick<NewPayment, 'id' | 'agreementId' | 'partyId' | 'currency'>;
    kind: 'matched' | 'unmatched' | 'returned';
    matches: readonly NewMatch[];
    accountingDate: LocalDate;
    note?: string;
    now: Date;
  },
): Promise<void> {
  const { payment, kind, matches, accountingDate, note, now } = written;
  if (matches.length === 0) return;
  await tx.sql(
    `INSERT INTO payment_match (tenant_id, id, kind, payment_id, open_item_id, agreement_id, party_id, currency, amount_minor, accounting_date, note,
            recorded_at, recorded_by)
     SELECT $1, m.id, $2, $3, m.open_item_id, $4, $5, $6, m.amount_minor, $7, $8, $9, $10
       FROM unnest($11::uuid[], $12::uuid[], $13::bigint[]) AS m (id, open_item_id, amount_minor)`,
    [
      tx.tenantId,
      kind,
      payment.id,
      payment.agreementId,
      payment.partyId,
      payment.currency,
      accountingDate,
      note ?? null,
      now,
      tx.actor,
      matches.map((match) => match.id),
      matches.map((match) => match.openItemId),
      matches.map((match) => match.amountMinor),
    ],
  );
  if (kind === 'matched') await announcePaid(tx, { matchIds: matches.map((match) => match.id), now });
}

export async function insertReturn(
  tx: TenantTransaction,
  returned: { id: string; paymentId: string; returnedOn: LocalDate; accountingDate: LocalDate; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO payment_return (tenant_id, id, payment_id, returned_on, accounting_date, reason, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8)`,
    [tx.tenantId, returned.id, returned.paymentId, returned.returnedOn, returned.accountingDate, returned.reason, returned.now, tx.actor],
  );
}

export type PaymentRow = {
  readonly id: string;
  readonly kind: 'settling' | 'on-account';
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly party_id: string;
  readonly party_name: string;
  readonly currency: CurrencyCode;
  readonly amount_minor: bigint;
  readonly paid_minor: bigint;
  readonly method: Method;
  readonly reference: string;
  readonly paid_on: LocalDate;
  readonly accounting_date: LocalDate;
  readonly recorded_at: Date;
  readonly recorded_by: string;
  /** What is matched now, of the sign of the payment. */
  readonly matched_minor: bigint;
  /** What waits on account, or was set off; of the sign of the payment. */
  readonly on_account_minor: bigint;
  readonly returned_on: LocalDate | null;
  readonly return_reason: string | null;
  readonly return_recorded_at: Date | null;
  readonly return_recorded_by: string | null;
  /** The settlement that stands and took a payment on account into its figures. */
  readonly set_off_id: string | null;
  readonly set_off_number: string | null;
  /** The payment run that it was paid with. */
  readonly run_id: string | null;
  readonly run_execute_on: LocalDate | null;
};

const payments = `
  SELECT y.id, y.kind, y.agreement_id, y.site_id, s.code AS site_code, s.name AS site_name, y.party_id, p.name AS party_name, y.currency,
         y.amount_minor, y.paid_minor, y.method, y.reference, y.paid_on, y.accounting_date, y.recorded_at, y.recorded_by,
         matched.minor AS matched_minor, ${onAccountMinorOf('y')} AS on_account_minor,
         r.returned_on, r.reason AS return_reason, r.recorded_at AS return_recorded_at, r.recorded_by AS return_recorded_by,
         set_off.id AS set_off_id, set_off.number AS set_off_number, run.id AS run_id, run.execute_on AS run_execute_on
    FROM payment y
    JOIN site s ON s.tenant_id = y.tenant_id AND s.id = y.site_id
    JOIN party p ON p.tenant_id = y.tenant_id AND p.id = y.party_id
    CROSS JOIN LATERAL (
      SELECT coalesce(sum(m.amount_minor), 0)::bigint AS minor FROM payment_match m WHERE m.tenant_id = y.tenant_id AND m.payment_id = y.id) matched
    LEFT JOIN payment_return r ON r.tenant_id = y.tenant_id AND r.payment_id = y.id
    LEFT JOIN LATERAL (
      SELECT x.id, x.number FROM payment_set_off o JOIN settlement x ON x.tenant_id = o.tenant_id AND x.id = o.settlement_id
       WHERE o.tenant_id = y.tenant_id AND o.payment_id = y.id AND NOT ${isReversed('x')}) set_off ON true
    LEFT JOIN payment_run_transfer t ON t.tenant_id = y.tenant_id AND t.payment_id = y.id
    LEFT JOIN payment_run run ON run.tenant_id = t.tenant_id AND run.id = t.run_id
   WHERE y.tenant_id = $1`;

export async function readPayment(tx: TenantTransaction, id: string): Promise<PaymentRow | undefined> {
  const { rows } = await tx.sql<PaymentRow>(`${payments} AND y.id = $2`, [tx.tenantId, id]);
  return rows[0];
}

export type PaymentFilter = {
  readonly sites: readonly string[] | null;
  readonly agreementId: string | null;
  readonly siteId: string | null;
  readonly partyId: string | null;
  readonly from: string | null;
  readonly to: string | null;
  readonly after: { readonly paidOn: string; readonly id: string } | null;
  readonly limit: number;
};

/** The newest first. */
export async function listPaymentRows(tx: TenantTransaction, filter: PaymentFilter): Promise<PaymentRow[]> {
  const { rows } = await tx.sql<PaymentRow>(
    `${payments}
        AND ($2::uuid[] IS NULL OR y.site_id = ANY ($2)) AND ($3::uuid IS NULL OR y.agreement_id = $3) AND ($4::uuid IS NULL OR y.site_id = $4)
        AND ($5::uuid IS NULL OR y.party_id = $5) AND ($6::date IS NULL OR y.paid_on >= $6) AND ($7::date IS NULL OR y.paid_on <= $7)
        AND ($8::date IS NULL OR (y.paid_on, y.id) < ($8, $9::uuid))
      ORDER BY y.paid_on DESC, y.id DESC LIMIT $10`,
    [
      tx.tenantId,
      filter.sites,
      filter.agreementId,
      filter.siteId,
      filter.partyId,
      filter.from,
      filter.to,
      filter.after?.paidOn ?? null,
      filter.after?.id ?? null,
      filter.limit,
    ],
  );
  return rows;
}

export type MatchRow = {
  readonly payment_id: string;
  readonly open_item_id: string;
  readonly settlement_id: string;
  readonly number: string;
  readonly kind: 'matched' | 'unmatched' | 'returned';
  readonly amount_minor: bigint;
  readonly accounting_date: LocalDate;
  readonly note: string | null;
  readonly recorded_at: Date;
  readonly recorded_by: string;
};

/** Everything that ever happened to the matches of these payments, the oldest first. */
export async function readMatches(tx: TenantTransaction, paymentIds: readonly string[]): Promise<MatchRow[]> {
  const { rows } = await tx.sql<MatchRow>(
    `SELECT m.payment_id, m.open_item_id, i.settlement_id, x.number, m.kind, m.amount_minor, m.accounting_date, m.note, m.recorded_at, m.recorded_by
       FROM payment_match m
       JOIN open_item i ON i.tenant_id = m.tenant_id AND i.id = m.open_item_id
       JOIN settlement x ON x.tenant_id = i.tenant_id AND x.id = i.settlement_id
      WHERE m.tenant_id = $1 AND m.payment_id = ANY ($2::uuid[])
      ORDER BY m.payment_id, m.recorded_at, m.id`,
    [tx.tenantId, paymentIds],
  );
  return rows;
}
