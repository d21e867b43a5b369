import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Method } from '../payment/payment.sql';
import { openMinorOf } from './recoup.sql';

export type NewAdvance = {
  readonly id: string;
  readonly agreementId: string;
  readonly siteId: string;
  readonly partyId: string;
  readonly currency: CurrencyCode;
  readonly amountMinor: bigint;
  readonly method: Method;
  readonly reason: string;
  readonly document: string;
  readonly givenOn: LocalDate;
  readonly accountingDate: LocalDate;
};

export async function insertAdvance(tx: TenantTransaction, given: NewAdvance, now: Date): Promise<void> {
  await tx.sql(
    `INSERT INTO advance (tenant_id, id, agreement_id, site_id, party_id, currency, amount_minor, method, reason, document, given_on, accounting_date,
            recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
    [
      tx.tenantId,
      given.id,
      given.agreementId,
      given.siteId,
      given.partyId,
      given.currency,
      given.amountMinor,
      given.method,
      given.reason,
      given.document,
      given.givenOn,
      given.accountingDate,
      now,
      tx.actor,
    ],
  );
}

export type NewReduction = {
  readonly id: string;
  readonly advanceId: string;
  readonly agreementId: string;
  readonly kind: 'paid-back' | 'written-off' | 'undone';
  /** The reduction that an undoing takes back. */
  readonly undoesId: string | null;
  readonly amountMinor: bigint;
  /** Null for what is given up. */
  readonly method: Method | null;
  readonly reason: string;
  readonly document: string;
  readonly happenedOn: LocalDate;
  readonly accountingDate: LocalDate;
};

export async function insertReduction(tx: TenantTransaction, reduction: NewReduction, now: Date): Promise<void> {
  await tx.sql(
    `INSERT INTO advance_reduction (tenant_id, id, advance_id, agreement_id, kind, amount_minor, method, reason, document, happened_on, accounting_date,
            recorded_at, recorded_by, undoes_id)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)`,
    [
      tx.tenantId,
      reduction.id,
      reduction.advanceId,
      reduction.agreementId,
      reduction.kind,
      reduction.amountMinor,
      reduction.method,
      reduction.reason,
      reduction.document,
      reduction.happenedOn,
      reduction.accountingDate,
      now,
      tx.actor,
      reduction.undoesId,
    ],
  );
}

export type AdvanceRow = {
  readonly id: string;
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly party_id: string;
  readonly party_name: string;
  readonly currency: CurrencyCode;
  readonly amount_minor: bigint;
  readonly method: Method;
  readonly reason: string;
  readonly document: string;
  readonly given_on: LocalDate;
  readonly accounting_date: LocalDate;
  readonly recorded_at: Date;
  readonly recorded_by: string;
  /** Now, whatever the day under which the books have each part. */
  readonly open_minor: bigint;
};

const advances = `
  SELECT v.id, v.agreement_id, v.site_id, s.code AS site_code, s.name AS site_name, v.party_id, p.name AS party_name, v.currency, v.amount_minor,
         v.method, v.reason, v.document, v.given_on, v.accounting_date, v.recorded_at, v.recorded_by, ${openMinorOf('v')} AS open_minor
    FROM advance v
    JOIN site s ON s.tenant_id = v.tenant_id AND s.id = v.site_id
    JOIN party p ON p.tenant_id = v.tenant_id AND p.id = v.party_id
   WHERE v.tenant_id = $1`;

export async function readAdvance(tx: TenantTransaction, id: string): Promise<AdvanceRow | undefined> {
  const { rows } = await tx.sql<AdvanceRow>(`${advances} AND v.id = $2`, [tx.tenantId, id]);
  return rows[0];
}

export type AdvanceFilter = {
  readonly sites: readonly string[] | null;
  readonly agreementId: string | null;
  readonly siteId: string | null;
  readonly partyId: string | null;
  readonly state: 'open' | 'closed' | null;
  readonly on: string | null;
  readonly after: { readonly givenOn: string; readonly id: string } | null;
  readonly limit: number;
};

/** The newest first. */
export async function listAdvanceRows(tx: TenantTransaction, filter: AdvanceFilter): Promise<AdvanceRow[]> {
  const { rows } = await tx.sql<AdvanceRow>(
    `SELECT v.* FROM (${advances}) v
      WHERE ($2::uuid[] IS NULL OR v.site_id = ANY ($2)) AND ($3::uuid IS NULL OR v.agreement_id = $3) AND ($4::uuid IS NULL OR v.site_id = $4)
        AND ($5::uuid IS NULL OR v.party_id = $5) AND ($6::text IS NULL OR (v.open_minor > 0) = ($6 = 'open')) AND ($7::date IS NULL OR v.accounting_date <= $7)
        AND ($8::date IS NULL OR (v.given_on, v.id) < ($8, $9::uuid))
      ORDER BY v.given_on DESC, v.id DESC LIMIT $10`,
    [
      tx.tenantId,
      filter.sites,
      filter.agreementId,
      filter.siteId,
      filter.partyId,
      filter.state,
      filter.on,
      filter.after?.givenOn ?? null,
      filter.after?.id ?? null,
      filter.limit,
    ],
  );
  return rows;
}

export type StepRow = {
  readonly advance_id: string;
  /** Of a reduction, which can be undone; null for what a settlement did. */
  readonly reduction_id: string | null;
  readonly undone: boolean;
  readonly kind: 'recouped' | 'recoup-reversed' | 'paid-back' | 'written-off' | 'undone';
  readonly accounting_date: LocalDate;
  /** Above zero opens the advance again. */
  readonly amount_minor: bigint;
  readonly settlement_id: string | null;
  readonly number: string | null;
  readonly document: string;
  readonly reason: string;
  readonly recorded_at: Date;
  readonly recorded_by: string;
};

/** What happened to these advances after they were given, in the order of the books. */
export async function readSteps(tx: TenantTransaction, advanceIds: readonly string[]): Promise<StepRow[]> {
  const { rows } = await tx.sql<StepRow>(
    `SELECT d.advance_id, d.id AS reduction_id, EXISTS (SELECT FROM advance_reduction u WHERE u.tenant_id = d.tenant_id AND u.undoes_id = d.id) AS undone,
            d.kind, d.accounting_date, -d.amount_minor AS amount_minor, NULL::uuid AS settlement_id, NULL AS number, d.document, d.reason,
            d.recorded_at, d.recorded_by
       FROM advance_reduction d WHERE d.tenant_id = $1 AND d.advance_id = ANY ($2::uuid[])
     UNION ALL
     SELECT c.advance_id, NULL, false, 'recouped', x.accounting_date, -c.amount_minor, x.id, x.number, '', '', v.happened_at, v.happened_by
       FROM advance_recoup c
       JOIN settlement x ON x.tenant_id = c.tenant_id AND x.id = c.settlement_id
       JOIN settlement_event v ON v.tenant_id = x.tenant_id AND v.settlement_id = x.id AND v.kind = 'numbered'
      WHERE c.tenant_id = $1 AND c.advance_id = ANY ($2::uuid[])
     UNION ALL
     SELECT c.advance_id, NULL, false, 'recoup-reversed', r.accounting_date, c.amount_minor, x.id, x.number, '', r.reason, r.recorded_at, r.recorded_by
       FROM advance_recoup c
       JOIN settlement x ON x.tenant_id = c.tenant_id AND x.id = c.settlement_id
       JOIN settlement_reversal r ON r.tenant_id = x.tenant_id AND r.settlement_id = x.id
      WHERE c.tenant_id = $1 AND c.advance_id = ANY ($2::uuid[])
      ORDER BY accounting_date, recorded_at, amount_minor, settlement_id`,
    [tx.tenantId, advanceIds],
  );
  return rows;
}
