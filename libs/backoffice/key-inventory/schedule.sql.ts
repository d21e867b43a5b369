import type { KeyInventorySchedule } from '#contracts/key-inventory';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

export type ScheduleRow = { last_closed_on: LocalDate | null; next_due_on: LocalDate | null; overdue: boolean };

/** When every key was last counted and is next; the first count is due one rhythm after the first key came into the books. */
export async function selectSchedule(tx: TenantTransaction, query: { everyMonths: number; now: Date }): Promise<ScheduleRow> {
  const { rows } = await tx.sql<ScheduleRow>(
    `WITH zone AS (SELECT time_zone FROM operator WHERE tenant_id = $1),
     since AS (
       SELECT (SELECT max(i.opened_at) FROM key_inventory i WHERE i.tenant_id = $1 AND i.key_store_id IS NULL AND i.closed_at IS NOT NULL) AS counted_at,
              (SELECT max(i.closed_at) FROM key_inventory i WHERE i.tenant_id = $1 AND i.key_store_id IS NULL AND i.closed_at IS NOT NULL) AS closed_at,
              (SELECT min(c.known_from) FROM custody c WHERE c.tenant_id = $1) AS first_key_at),
     due AS (
       SELECT (closed_at AT TIME ZONE time_zone)::date AS last_closed_on,
              ((coalesce(counted_at, first_key_at) AT TIME ZONE time_zone)::date + make_interval(months => $2))::date AS next_due_on,
              ($3::timestamptz AT TIME ZONE time_zone)::date AS today
         FROM since, zone)
     SELECT last_closed_on, next_due_on, coalesce(next_due_on < today, false) AS overdue FROM due`,
    [tx.tenantId, query.everyMonths, query.now],
  );
  return rows[0] ?? { last_closed_on: null, next_due_on: null, overdue: false };
}

export type ChangeRow = { store_id: string; store_code: string; store_name: string; person_id: string; person_code: string; person_name: string; changed_at: Date; due_on: LocalDate; overdue: boolean };

/**
 * Custodians who took a store over from another, where nothing was counted since. 10 CFR 95.25(j): an inventory with each
 * change of custody, so it is due on that day.
 */
export async function selectCustodianChanges(tx: TenantTransaction, now: Date): Promise<ChangeRow[]> {
  const { rows } = await tx.sql<ChangeRow>(
    `SELECT s.id AS store_id, s.code AS store_code, s.name AS store_name, p.id AS person_id, p.code AS person_code, p.name AS person_name, k.started_at AS changed_at,
            (k.started_at AT TIME ZONE o.time_zone)::date AS due_on, (k.started_at AT TIME ZONE o.time_zone)::date < ($2::timestamptz AT TIME ZONE o.time_zone)::date AS overdue
       FROM key_custodian k
       JOIN operator o ON o.tenant_id = $1
       JOIN key_store s ON s.tenant_id = $1 AND s.id = k.key_store_id
       JOIN person p ON p.tenant_id = $1 AND p.id = k.person_id
      WHERE k.tenant_id = $1 AND k.started_at <= $2
        AND EXISTS (SELECT FROM key_custodian earlier WHERE earlier.tenant_id = $1 AND earlier.key_store_id = k.key_store_id AND earlier.person_id <> k.person_id AND earlier.started_at < k.started_at)
        AND NOT EXISTS (SELECT FROM key_custodian later WHERE later.tenant_id = $1 AND later.key_store_id = k.key_store_id AND later.started_at > k.started_at AND later.started_at <= $2)
        AND NOT EXISTS (SELECT FROM key_inventory i
                         WHERE i.tenant_id = $1 AND (i.key_store_id IS NULL OR i.key_store_id = k.key_store_id) AND i.closed_at >= k.started_at
                           AND (i.opened_at AT TIME ZONE o.time_zone)::date >= (k.started_at AT TIME ZONE o.time_zone)::date)
      ORDER BY k.started_at, s.code`,
    [tx.tenantId, now],
  );
  return rows;
}

export type OldLockRow = {
  id: string; machine_id: string; machine_tag: string; place: string; opens: KeyInventorySchedule['oldLocks'][number]['opens'];
  key_code_id: string; code: string; fitted_at: Date; change_due_on: LocalDate;
};

/** Locks whose twelve months are over. 10 CFR 95.25(j): locks are changed at least every twelve months, so the last day is still in time. */
export async function selectOldLocks(tx: TenantTransaction, now: Date): Promise<OldLockRow[]> {
  const { rows } = await tx.sql<OldLockRow>(
    `SELECT l.id, l.machine_id, m.tag AS machine_tag, l.place, l.opens, l.key_code_id, k.code, l.fitted_at, due.change_due_on
       FROM machine_lock l
       JOIN operator o ON o.tenant_id = $1
       JOIN machine m ON m.tenant_id = $1 AND m.id = l.machine_id
       JOIN key_code k ON k.tenant_id = $1 AND k.id = l.key_code_id
       CROSS JOIN LATERAL (SELECT ((l.fitted_at AT TIME ZONE o.time_zone)::date + interval '12 months')::date AS change_due_on) due
      WHERE l.tenant_id = $1 AND l.removed_at IS NULL AND due.change_due_on < ($2::timestamptz AT TIME ZONE o.time_zone)::date
      ORDER BY l.fitted_at, m.tag, l.place`,
    [tx.tenantId, now],
  );
  return rows;
}
