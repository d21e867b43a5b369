import type { TenantTransaction } from '#database/tenant';

export type FaultRow = { machine_id: string; machine_tag: string; site_name: string | null; kind: 'fault' | 'door'; fault: string; started_at: Date; ended_at: Date | null; outage_id: string | null };

/**
 * Faults and open doors by machine, the latest first, from the first message until the machine says that it is over: those
 * of some length that no outage overlaps, and those whose outage goes on although they are over. What began before `from` and
 * goes on is among them, from its first message; what was over by then only where its outage goes on. Not what was dismissed.
 * One more than `limit`, where there are more.
 */
export async function selectFaults(tx: TenantTransaction, list: { readonly from: Date; readonly now: Date; readonly leastMs: number; readonly limit: number }): Promise<FaultRow[]> {
  const { rows } = await tx.sql<FaultRow>(
    `WITH said AS (
       SELECT e.machine_id, CASE WHEN e.kind LIKE 'door%' THEN 'door' ELSE 'fault' END AS kind, e.fault, e.happened_at, e.kind IN ('fault', 'door-opened') AS begins
         FROM machine_event e
        WHERE e.tenant_id = $1 AND e.happened_at <= $3
          AND (e.happened_at >= $2
            OR EXISTS (SELECT FROM outage o WHERE o.tenant_id = $1 AND o.machine_id = e.machine_id AND o.ended_at IS NULL AND o.taken_back_at IS NULL)
            OR NOT EXISTS (SELECT FROM machine_event over WHERE over.tenant_id = $1 AND over.machine_id = e.machine_id AND over.fault = e.fault AND over.happened_at > e.happened_at AND over.happened_at < $2
                              AND over.kind = CASE WHEN e.kind LIKE 'door%' THEN 'door-closed' ELSE 'fault-cleared' END))),
     told AS (
       SELECT said.*, lag(begins, 1, false) OVER (PARTITION BY machine_id, kind, fault ORDER BY happened_at, begins DESC) AS goes_on FROM said),
     trouble AS (
       SELECT t.machine_id, t.kind, t.fault, t.happened_at AS started_at,
              (SELECT min(o.happened_at) FROM said o WHERE o.machine_id = t.machine_id AND o.kind = t.kind AND o.fault = t.fault AND NOT o.begins AND o.happened_at > t.happened_at) AS ended_at
         FROM told t WHERE t.begins AND NOT t.goes_on)
     SELECT t.machine_id, m.tag AS machine_tag, here.site_name, t.kind, t.fault, t.started_at, t.ended_at, o.id AS outage_id
       FROM trouble t
       JOIN machine m ON m.tenant_id = $1 AND m.id = t.machine_id
       LEFT JOIN LATERAL (
         SELECT o.id, o.ended_at FROM outage o
          WHERE o.tenant_id = $1 AND o.machine_id = t.machine_id AND (t.ended_at IS NULL OR o.started_at < t.ended_at) AND (o.ended_at IS NULL OR o.ended_at > t.started_at) AND o.taken_back_at IS NULL
          ORDER BY o.started_at DESC LIMIT 1) o ON true
       LEFT JOIN LATERAL (
         SELECT s.name AS site_name FROM placement p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
          WHERE p.tenant_id = $1 AND p.machine_id = t.machine_id AND p.removed_on IS NULL ORDER BY p.placed_on DESC LIMIT 1) here ON true
      WHERE NOT EXISTS (SELECT FROM machine_fault_dismissal d WHERE d.tenant_id = $1 AND d.machine_id = t.machine_id AND d.started_at = t.started_at AND d.fault = t.fault
                           AND d.kind = CASE WHEN t.kind = 'door' THEN 'door-opened' ELSE 'fault' END)
        AND ((o.id IS NULL AND (t.ended_at IS NULL OR t.ended_at >= $2) AND extract(epoch FROM (CASE WHEN t.ended_at IS NULL THEN $3 ELSE t.ended_at END) - t.started_at) * 1000 >= $4)
         OR (o.id IS NOT NULL AND o.ended_at IS NULL AND t.ended_at IS NOT NULL))
      ORDER BY t.started_at DESC, m.tag, t.kind, t.fault LIMIT $5`,
    [tx.tenantId, list.from, list.now, list.leastMs, list.limit + 1],
  );
  return rows;
}

export type DismissalRow = { machine_id: string; machine_tag: string; kind: 'fault' | 'door'; fault: string; started_at: Date; reason: string; dismissed_at: Date; dismissed_by: string };

/** Faults that were dismissed from a moment on, the latest first; of one machine and beginning, where that is asked. */
export async function selectDismissals(
  tx: TenantTransaction,
  of: { readonly from: Date; readonly limit: number; readonly one: { readonly machineId: string; readonly startedAt: Date } | null },
): Promise<DismissalRow[]> {
  const { rows } = await tx.sql<DismissalRow>(
    `SELECT d.machine_id, m.tag AS machine_tag, CASE WHEN d.kind = 'fault' THEN 'fault' ELSE 'door' END AS kind, d.fault, d.started_at, d.reason, d.dismissed_at, d.dismissed_by
       FROM machine_fault_dismissal d JOIN machine m ON m.tenant_id = $1 AND m.id = d.machine_id
      WHERE d.tenant_id = $1 AND d.dismissed_at >= $2 AND ($4::uuid IS NULL OR (d.machine_id = $4 AND d.started_at = $5))
      ORDER BY d.dismissed_at DESC, d.machine_id, d.started_at LIMIT $3`,
    [tx.tenantId, of.from, of.limit, of.one?.machineId ?? null, of.one?.startedAt ?? null],
  );
  return rows;
}

export async function insertDismissal(tx: TenantTransaction, dismissal: { readonly machineId: string; readonly kind: 'fault' | 'door'; readonly fault: string; readonly startedAt: Date; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql('INSERT INTO machine_fault_dismissal (tenant_id, machine_id, kind, fault, started_at, reason, dismissed_at, dismissed_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)', [
    tx.tenantId,
    dismissal.machineId,
    dismissal.kind === 'door' ? 'door-opened' : 'fault',
    dismissal.fault,
    dismissal.startedAt,
    dismissal.reason,
    dismissal.now,
    tx.actor,
  ]);
}
