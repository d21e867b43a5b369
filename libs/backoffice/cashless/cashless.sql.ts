import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { madeAlone } from '../policy/policy.sql';

export type CashlessRow = {
  readonly id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly time_zone: string;
  readonly placement_id: string;
  readonly machine_id: string;
  readonly machine_tag: string;
  readonly collection_id: string | null;
  readonly local_date: LocalDate;
  readonly accounting_date: LocalDate;
  readonly currency: CurrencyCode;
  readonly gross_minor: bigint;
  readonly refunded_minor: bigint;
  readonly replaces_id: string | null;
  readonly replaced_by_id: string | null;
  readonly reason: string | null;
  readonly made_alone: boolean;
  readonly recorded_at: Date;
  readonly recorded_by: string;
};

const takings = `
  SELECT t.id, t.site_id, s.code AS site_code, s.time_zone, t.placement_id, t.machine_id, m.tag AS machine_tag, t.collection_id, t.local_date,
         t.accounting_date, t.currency, t.gross_minor, t.refunded_minor, t.replaces_id, newer.id AS replaced_by_id, t.reason, ${madeAlone('t')},
         t.recorded_at, t.recorded_by
    FROM cashless_taking t
    JOIN site s ON s.tenant_id = t.tenant_id AND s.id = t.site_id
    JOIN machine m ON m.tenant_id = t.tenant_id AND m.id = t.machine_id
    LEFT JOIN cashless_taking newer ON newer.tenant_id = t.tenant_id AND newer.replaces_id = t.id
   WHERE t.tenant_id = $1`;

export async function selectTakings(tx: TenantTransaction, ids: readonly string[]): Promise<CashlessRow[]> {
  const { rows } = await tx.sql<CashlessRow>(`${takings} AND t.id = ANY ($2::uuid[])`, [tx.tenantId, ids]);
  return rows;
}

export async function listTakings(
  tx: TenantTransaction,
  list: { after: readonly [localDate: string, id: string] | null; limit: number; siteId: string | null; machineId: string | null; from: string | null; before: string | null },
): Promise<CashlessRow[]> {
  const [localDate, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<CashlessRow>(
    `${takings}
        AND ($2::date IS NULL OR (t.local_date, t.id) < ($2, $3::uuid))
        AND ($4::uuid IS NULL OR t.site_id = $4) AND ($5::uuid IS NULL OR t.machine_id = $5)
        AND ($6::date IS NULL OR t.accounting_date >= $6) AND ($7::date IS NULL OR t.accounting_date < $7)
      ORDER BY t.local_date DESC, t.id DESC LIMIT $8`,
    [tx.tenantId, localDate, id, list.siteId, list.machineId, list.from, list.before, list.limit],
  );
  return rows;
}

/** Which days and collections of these placements have a report already: `placement day` or `placement collection`. */
export async function selectReported(
  tx: TenantTransaction,
  wanted: readonly { placementId: string; localDate: string; collectionId: string | null }[],
): Promise<ReadonlySet<string>> {
  const { rows } = await tx.sql<{ placement_id: string; about: string }>(
    `SELECT t.placement_id, coalesce(t.collection_id::text, t.local_date::text) AS about
       FROM unnest($2::uuid[], $3::date[], $4::uuid[]) AS w (placement_id, local_date, collection_id)
       JOIN cashless_taking t ON t.tenant_id = $1 AND t.placement_id = w.placement_id AND t.replaces_id IS NULL
        AND t.collection_id IS NOT DISTINCT FROM w.collection_id AND (w.collection_id IS NOT NULL OR t.local_date = w.local_date)`,
    [tx.tenantId, wanted.map((each) => each.placementId), wanted.map((each) => each.localDate), wanted.map((each) => each.collectionId)],
  );
  return new Set(rows.map((row) => `${row.placement_id} ${row.about}`));
}

export type VisitOfReport = { readonly id: string; readonly site_id: string; readonly local_date: LocalDate; readonly accounting_date: LocalDate };

/** Those of these collections that were not discarded, held so that none is meanwhile. */
export async function selectVisits(tx: TenantTransaction, ids: readonly string[]): Promise<ReadonlyMap<string, VisitOfReport>> {
  const { rows } = await tx.sql<VisitOfReport>(`SELECT id, site_id, local_date, accounting_date FROM collection WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) AND state <> 'discarded' ORDER BY id FOR SHARE`, [tx.tenantId, ids]);
  return new Map(rows.map((row) => [row.id, row]));
}

/** A report that was checked. */
export type NewTaking = {
  readonly id: string;
  readonly siteId: string;
  readonly placementId: string;
  readonly machineId: string;
  readonly collectionId: string | null;
  readonly localDate: LocalDate;
  readonly accountingDate: LocalDate;
  readonly currency: string;
  readonly grossMinor: bigint;
  readonly refundedMinor: bigint;
};

export async function insertTakings(tx: TenantTransaction, takingsToWrite: readonly NewTaking[], now: Date): Promise<void> {
  const column = <Value>(value: (taking: NewTaking) => Value): Value[] => takingsToWrite.map(value);
  await tx.sql(
    `INSERT INTO cashless_taking (tenant_id, id, site_id, placement_id, machine_id, collection_id, local_date, accounting_date, currency,
                                  gross_minor, refunded_minor, recorded_at, recorded_by)
     SELECT $1, t.id, t.site_id, t.placement_id, t.machine_id, t.collection_id, t.local_date, t.accounting_date, t.currency, t.gross, t.refunded, $2, $3
       FROM unnest($4::uuid[], $5::uuid[], $6::uuid[], $7::uuid[], $8::uuid[], $9::date[], $10::date[], $11::text[], $12::bigint[], $13::bigint[])
         AS t (id, site_id, placement_id, machine_id, collection_id, local_date, accounting_date, currency, gross, refunded)`,
    [
      tx.tenantId,
      now,
      tx.actor,
      column((t) => t.id),
      column((t) => t.siteId),
      column((t) => t.placementId),
      column((t) => t.machineId),
      column((t) => t.collectionId),
      column((t) => t.localDate),
      column((t) => t.accountingDate),
      column((t) => t.currency),
      column((t) => t.grossMinor),
      column((t) => t.refundedMinor),
    ],
  );
}

/** Writes a report in the place of another, which stays as it is. */
export async function insertCorrection(
  tx: TenantTransaction,
  correction: { id: string; replacesId: string; grossMinor: bigint; refundedMinor: bigint; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO cashless_taking (tenant_id, id, site_id, placement_id, machine_id, collection_id, local_date, accounting_date, currency,
                                  gross_minor, refunded_minor, replaces_id, reason, recorded_at, recorded_by)
     SELECT tenant_id, $2, site_id, placement_id, machine_id, collection_id, local_date, accounting_date, currency, $4, $5, id, $6, $7, $8
       FROM cashless_taking WHERE tenant_id = $1 AND id = $3`,
    [tx.tenantId, correction.id, correction.replacesId, correction.grossMinor, correction.refundedMinor, correction.reason, correction.now, tx.actor],
  );
}
