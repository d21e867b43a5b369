import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { onlyRow } from '../rows';
import { stands } from '../settlement/standing.sql';

export type MachineRow = {
  id: string;
  tag: string;
  kind: string;
  serial_number: string | null;
  acquired_on: LocalDate;
  disposed_on: LocalDate | null;
  revision: number;
};

/** With the placement that holds today, by the calendar of its site. */
export type PlacedMachineRow = MachineRow & {
  placement_id: string | null;
  site_id: string | null;
  site_code: string | null;
  placed_on: LocalDate | null;
};

const columns = 'm.id, m.tag, m.kind, m.serial_number, m.acquired_on, m.disposed_on, m.revision';

/** `$2` is the present instant. */
const placedMachine = `
  SELECT ${columns}, here.placement_id, here.site_id, here.site_code, here.placed_on
    FROM machine m
    LEFT JOIN LATERAL (
      SELECT p.id AS placement_id, p.site_id, s.code AS site_code, p.placed_on
        FROM placement p JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
       WHERE p.tenant_id = m.tenant_id AND p.machine_id = m.id
         AND daterange(p.placed_on, p.removed_on, '[)') @> ($2::timestamptz AT TIME ZONE s.time_zone)::date
       LIMIT 1) here ON true
   WHERE m.tenant_id = $1`;

export async function insertMachine(tx: TenantTransaction, machine: Omit<MachineRow, 'disposed_on' | 'revision'> & { now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO machine (tenant_id, id, tag, kind, serial_number, acquired_on, created_at) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
    [tx.tenantId, machine.id, machine.tag, machine.kind, machine.serial_number, machine.acquired_on, machine.now],
  );
}

export async function selectMachine(tx: TenantTransaction, machine: { id: string; now: Date }): Promise<PlacedMachineRow | null> {
  const { rows } = await tx.sql<PlacedMachineRow>(`${placedMachine} AND m.id = $3`, [tx.tenantId, machine.now, machine.id]);
  return rows[0] ?? null;
}

/** Whoever places, moves or fits out a machine holds this first, so that two of them cannot both find it free. */
export async function lockMachine(tx: TenantTransaction, id: string): Promise<MachineRow | null> {
  const { rows } = await tx.sql<MachineRow>(`SELECT ${columns} FROM machine m WHERE m.tenant_id = $1 AND m.id = $2 FOR NO KEY UPDATE`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function updateMachine(tx: TenantTransaction, machine: MachineRow): Promise<void> {
  await tx.sql(
    `UPDATE machine SET tag = $3, kind = $4, serial_number = $5, acquired_on = $6, disposed_on = $7 WHERE tenant_id = $1 AND id = $2`,
    [tx.tenantId, machine.id, machine.tag, machine.kind, machine.serial_number, machine.acquired_on, machine.disposed_on],
  );
}

export type MachineTies = {
  /** Site code of a placement that begins before `acquiredOn`. */
  placed_before: string | null;
  /** Site code of a placement that reaches beyond `disposedOn`. */
  placed_after: string | null;
  /** A settlement that cannot change any more has counts of the machine in it. */
  settled: boolean;
};

export async function selectMachineTies(tx: TenantTransaction, machine: { id: string; acquiredOn: string; disposedOn: string | null }): Promise<MachineTies> {
  const { rows } = await tx.sql<MachineTies>(
    `SELECT
       (SELECT min(s.code) FROM placement p JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
         WHERE p.tenant_id = $1 AND p.machine_id = $2 AND p.placed_on < $3::date) AS placed_before,
       (SELECT min(s.code) FROM placement p JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
         WHERE p.tenant_id = $1 AND p.machine_id = $2 AND coalesce(p.removed_on, 'infinity') > $4::date) AS placed_after,
       EXISTS (SELECT FROM settlement_line l JOIN settlement s ON s.tenant_id = l.tenant_id AND s.id = l.settlement_id
                WHERE l.tenant_id = $1 AND l.machine_id = $2 AND ${stands('s')}) AS settled`,
    [tx.tenantId, machine.id, machine.acquiredOn, machine.disposedOn],
  );
  return onlyRow(rows);
}

export async function selectMachines(
  tx: TenantTransaction,
  list: {
    now: Date;
    after: string | null;
    limit: number;
    pattern: string | null;
    kind: string | null;
    siteId: string | null;
    placed: boolean | null;
    siteIds: readonly string[] | null;
  },
): Promise<PlacedMachineRow[]> {
  const { rows } = await tx.sql<PlacedMachineRow>(
    `${placedMachine}
        AND ($3::text IS NULL OR m.tag > $3)
        AND ($4::text IS NULL OR m.tag ILIKE $4 OR m.serial_number ILIKE $4)
        AND ($5::text IS NULL OR m.kind = $5)
        AND ($6::uuid IS NULL OR here.site_id = $6)
        AND ($7::boolean IS NULL OR (here.site_id IS NOT NULL) = $7)
        AND ($8::uuid[] IS NULL OR here.site_id = ANY ($8))
      ORDER BY m.tag LIMIT $9`,
    [tx.tenantId, list.now, list.after, list.pattern, list.kind, list.siteId, list.placed, list.siteIds, list.limit + 1],
  );
  return rows;
}
