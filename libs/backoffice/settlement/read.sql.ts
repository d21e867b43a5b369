import type { SettlementEvent } from '#contracts/settlement';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { joinLastWord } from './notes.sql';
import { isReversed } from './standing.sql';

export type SettlementHeadRow = {
  readonly id: string;
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly starts_on: string;
  readonly ends_before: string;
  readonly revision: number;
  readonly state: string;
  readonly number: string | null;
  readonly currency: string;
  readonly takings_minor: bigint;
  readonly refunds_minor: bigint;
  readonly tax_minor: bigint;
  readonly charges_minor: bigint;
  readonly operator_share_minor: bigint;
  readonly site_share_minor: bigint;
  readonly earlier_minor: bigint;
  readonly payable_minor: bigint;
  readonly reversed: boolean;
};

const headColumns = `
  x.id, x.agreement_id, x.site_id, s.code AS site_code, s.name AS site_name, x.starts_on, x.ends_before, x.revision, x.state, x.number, x.currency,
  x.takings_minor, x.refunds_minor, x.tax_minor, x.charges_minor, x.operator_share_minor, x.site_share_minor, x.earlier_minor, x.payable_minor,
  ${isReversed('x')} AS reversed`;

export type SettlementDetailRow = SettlementHeadRow & {
  readonly period_id: string;
  readonly close_run_id: string | null;
  readonly kind: 'regular' | 'final' | 'supplementary';
  readonly engine_version: string;
  readonly inputs: string;
  readonly inputs_digest: Buffer;
  readonly result: string;
  readonly digest: Buffer | null;
  readonly statement_digest: Buffer | null;
  readonly accounting_date: LocalDate | null;
  readonly reversed_at: Date | null;
  readonly reversed_on: LocalDate | null;
  readonly reversed_by: string | null;
  readonly reversed_because: string | null;
};

export async function readSettlementRow(tx: TenantTransaction, id: string): Promise<SettlementDetailRow | undefined> {
  const { rows } = await tx.sql<SettlementDetailRow>(
    `SELECT ${headColumns}, x.period_id, x.close_run_id, x.kind, x.engine_version, x.inputs, x.inputs_digest, x.result, x.digest, x.accounting_date, t.pdf_digest AS statement_digest,
            r.recorded_at AS reversed_at, r.accounting_date AS reversed_on, r.recorded_by AS reversed_by, r.reason AS reversed_because
       FROM settlement x
       JOIN site s ON s.tenant_id = x.tenant_id AND s.id = x.site_id
       LEFT JOIN statement t ON t.tenant_id = x.tenant_id AND t.settlement_id = x.id
       LEFT JOIN settlement_reversal r ON r.tenant_id = x.tenant_id AND r.settlement_id = x.id
      WHERE x.tenant_id = $1 AND x.id = $2`,
    [tx.tenantId, id],
  );
  return rows[0];
}

export type EventRow = { readonly kind: SettlementEvent; readonly note: string | null; readonly happened_at: Date; readonly happened_by: string };

export async function readEvents(tx: TenantTransaction, settlementId: string): Promise<EventRow[]> {
  const { rows } = await tx.sql<EventRow>(
    `SELECT kind, note, happened_at, happened_by FROM settlement_event WHERE tenant_id = $1 AND settlement_id = $2 ORDER BY happened_at, id`,
    [tx.tenantId, settlementId],
  );
  return rows;
}

/** Names of the parties of agreements, by id; the operator, who is no party of its own books, is named by the caller. */
export async function readNamesOf(tx: TenantTransaction, partyIds: readonly string[]): Promise<{ operator: string; parties: ReadonlyMap<string, string> }> {
  const { rows } = await tx.sql<{ id: string | null; name: string }>(
    `SELECT NULL::text AS id, name FROM operator WHERE tenant_id = $1
     UNION ALL SELECT id::text, name FROM party WHERE tenant_id = $1 AND id::text = ANY ($2::text[])`,
    [tx.tenantId, partyIds],
  );
  const parties = new Map(rows.flatMap((row) => (row.id === null ? [] : [[row.id, row.name] as const])));
  return { operator: rows.find((row) => row.id === null)?.name ?? '', parties };
}

export type SettlementFilter = {
  readonly sites: readonly string[] | null;
  readonly states: readonly string[] | null;
  readonly startsOn?: string | undefined;
  readonly siteId?: string | undefined;
  readonly state?: string | undefined;
  readonly question?: 'open' | undefined;
  readonly after: { readonly startsOn: string; readonly siteCode: string; readonly id: string } | null;
  readonly limit: number;
};

export type SettlementListRow = SettlementHeadRow & { readonly question: string | null };

/** Newest period first, then by site code. */
export async function listSettlementRows(tx: TenantTransaction, filter: SettlementFilter): Promise<SettlementListRow[]> {
  const { rows } = await tx.sql<SettlementListRow>(
    `SELECT ${headColumns}, CASE WHEN asked.kind = 'questioned' THEN asked.note END AS question
       FROM settlement x JOIN site s ON s.tenant_id = x.tenant_id AND s.id = x.site_id
       ${joinLastWord('question', { of: 'x', as: 'asked' })}
      WHERE x.tenant_id = $1 AND ($2::uuid[] IS NULL OR x.site_id = ANY ($2)) AND ($3::text[] IS NULL OR x.state = ANY ($3))
        AND ($4::date IS NULL OR x.starts_on = $4) AND ($5::uuid IS NULL OR x.site_id = $5) AND ($6::text IS NULL OR x.state = $6)
        AND ($11::text IS NULL OR (asked.kind = 'questioned'
              AND x.id IN (SELECT q.settlement_id FROM settlement_event q WHERE q.tenant_id = $1 AND q.kind = 'questioned')))
        AND ($7::date IS NULL OR x.starts_on < $7 OR (x.starts_on = $7 AND (s.code, x.id) > ($8, $9::uuid)))
      ORDER BY x.starts_on DESC, s.code, x.id
      LIMIT $10`,
    [
      tx.tenantId,
      filter.sites,
      filter.states,
      filter.startsOn ?? null,
      filter.siteId ?? null,
      filter.state ?? null,
      filter.after?.startsOn ?? null,
      filter.after?.siteCode ?? null,
      filter.after?.id ?? null,
      filter.limit,
      filter.question ?? null,
    ],
  );
  return rows;
}
