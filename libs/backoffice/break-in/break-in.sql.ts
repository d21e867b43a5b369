import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { madeAlone } from '../policy/policy.sql';

export type BreakInRow = {
  readonly id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly placement_id: string;
  readonly machine_id: string;
  readonly machine_tag: string;
  readonly happened_on: LocalDate;
  readonly accounting_date: LocalDate;
  readonly accounting_reason: string | null;
  readonly currency: CurrencyCode;
  readonly amount_minor: bigint;
  readonly note: string;
  readonly replaces_id: string | null;
  readonly replaced_by_id: string | null;
  readonly reason: string | null;
  readonly made_alone: boolean;
  readonly recorded_at: Date;
  readonly recorded_by: string;
};

const breakIns = `
  SELECT b.id, b.site_id, s.code AS site_code, b.placement_id, b.machine_id, m.tag AS machine_tag, b.happened_on, b.accounting_date,
         b.accounting_reason, b.currency, b.amount_minor, b.note, b.replaces_id, newer.id AS replaced_by_id, b.reason, ${madeAlone('b')}, b.recorded_at, b.recorded_by
    FROM break_in b
    JOIN site s ON s.tenant_id = b.tenant_id AND s.id = b.site_id
    JOIN machine m ON m.tenant_id = b.tenant_id AND m.id = b.machine_id
    LEFT JOIN break_in newer ON newer.tenant_id = b.tenant_id AND newer.replaces_id = b.id
   WHERE b.tenant_id = $1`;

export async function selectBreakIn(tx: TenantTransaction, id: string): Promise<BreakInRow | null> {
  const { rows } = await tx.sql<BreakInRow>(`${breakIns} AND b.id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function listBreakInRows(
  tx: TenantTransaction,
  list: { after: readonly [happenedOn: string, id: string] | null; limit: number; siteId: string | null; machineId: string | null; from: string | null; before: string | null },
): Promise<BreakInRow[]> {
  const [happenedOn, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<BreakInRow>(
    `${breakIns}
        AND ($2::date IS NULL OR (b.happened_on, b.id) < ($2, $3::uuid))
        AND ($4::uuid IS NULL OR b.site_id = $4) AND ($5::uuid IS NULL OR b.machine_id = $5)
        AND ($6::date IS NULL OR b.accounting_date >= $6) AND ($7::date IS NULL OR b.accounting_date < $7)
      ORDER BY b.happened_on DESC, b.id DESC LIMIT $8`,
    [tx.tenantId, happenedOn, id, list.siteId, list.machineId, list.from, list.before, list.limit],
  );
  return rows;
}

export async function insertBreakIn(
  tx: TenantTransaction,
  breakIn: {
    id: string;
    siteId: string;
    placementId: string;
    machineId: string;
    happenedOn: string;
    accountingDate: string;
    accountingReason: string | null;
    currency: string;
    amountMinor: bigint;
    note: string;
    now: Date;
  },
): Promise<void> {
  await tx.sql(
    `INSERT INTO break_in (tenant_id, id, site_id, placement_id, machine_id, happened_on, accounting_date, accounting_reason, currency,
                           amount_minor, note, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)`,
    [
      tx.tenantId,
      breakIn.id,
      breakIn.siteId,
      breakIn.placementId,
      breakIn.machineId,
      breakIn.happenedOn,
      breakIn.accountingDate,
      breakIn.accountingReason,
      breakIn.currency,
      breakIn.amountMinor,
      breakIn.note,
      breakIn.now,
      tx.actor,
    ],
  );
}

/** Writes an amount in the place of another, which stays as it is. */
export async function insertCorrection(
  tx: TenantTransaction,
  correction: { id: string; replacesId: string; amountMinor: bigint; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO break_in (tenant_id, id, site_id, placement_id, machine_id, happened_on, accounting_date, accounting_reason, currency,
                           amount_minor, note, replaces_id, reason, recorded_at, recorded_by)
     SELECT tenant_id, $2, site_id, placement_id, machine_id, happened_on, accounting_date, accounting_reason, currency, $4, note, id, $5, $6, $7
       FROM break_in WHERE tenant_id = $1 AND id = $3`,
    [tx.tenantId, correction.id, correction.replacesId, correction.amountMinor, correction.reason, correction.now, tx.actor],
  );
}
