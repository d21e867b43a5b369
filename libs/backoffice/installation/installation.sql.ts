import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';

export type InstallationRow = {
  id: string;
  machine_id: string;
  machine_tag: string;
  game_id: string;
  game_code: string;
  game_title: string;
  installed_on: LocalDate;
  removed_on: LocalDate | null;
  revision: number;
};

const installations = `
  SELECT i.id, i.machine_id, m.tag AS machine_tag, i.game_id, g.code AS game_code, g.title AS game_title, i.installed_on,
         i.removed_on, i.revision
    FROM installation i
    JOIN machine m ON m.tenant_id = i.tenant_id AND m.id = i.machine_id
    JOIN game g ON g.tenant_id = i.tenant_id AND g.id = i.game_id
   WHERE i.tenant_id = $1`;

export async function insertInstallation(
  tx: TenantTransaction,
  installation: { id: string; machineId: string; gameId: string; installedOn: string; removedOn: string | null; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO installation (tenant_id, id, machine_id, game_id, installed_on, removed_on, created_at) VALUES ($1, $2, $3, $4, $5, $6, $7)`,
    [tx.tenantId, installation.id, installation.machineId, installation.gameId, installation.installedOn, installation.removedOn, installation.now],
  );
}

export async function selectInstallation(tx: TenantTransaction, id: string): Promise<InstallationRow | null> {
  const { rows } = await tx.sql<InstallationRow>(`${installations} AND i.id = $2`, [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function updateInstallation(tx: TenantTransaction, installation: { id: string; installedOn: string; removedOn: string | null }): Promise<void> {
  await tx.sql('UPDATE installation SET installed_on = $3, removed_on = $4 WHERE tenant_id = $1 AND id = $2', [
    tx.tenantId,
    installation.id,
    installation.installedOn,
    installation.removedOn,
  ]);
}

/** An installation in the machine that shares a day with these days; `null` when the machine is free. */
export async function selectOverlap(
  tx: TenantTransaction,
  days: { machineId: string; installedOn: string; removedOn: string | null; exceptId: string | null },
): Promise<InstallationRow | null> {
  const { rows } = await tx.sql<InstallationRow>(
    `${installations} AND i.machine_id = $2 AND i.id IS DISTINCT FROM $5::uuid
        AND daterange(i.installed_on, i.removed_on, '[)') && daterange($3::date, $4::date, '[)')
      ORDER BY i.installed_on LIMIT 1`,
    [tx.tenantId, days.machineId, days.installedOn, days.removedOn, days.exceptId],
  );
  return rows[0] ?? null;
}

/** A site manager sees the games in machines that stand at their site today, by the calendar of the site. */
export async function selectInstallations(
  tx: TenantTransaction,
  list: {
    now: Date;
    after: readonly [installedOn: string, id: string] | null;
    limit: number;
    machineId: string | null;
    gameId: string | null;
    on: string | null;
    siteIds: readonly string[] | null;
  },
): Promise<InstallationRow[]> {
  const [installedOn, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<InstallationRow>(
    `${installations}
        AND ($2::date IS NULL OR (i.installed_on, i.id) < ($2, $3::uuid))
        AND ($4::uuid IS NULL OR i.machine_id = $4)
        AND ($5::uuid IS NULL OR i.game_id = $5)
        AND ($6::date IS NULL OR daterange(i.installed_on, i.removed_on, '[)') @> $6)
        AND ($7::uuid[] IS NULL OR EXISTS (
          SELECT FROM placement p JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
           WHERE p.tenant_id = i.tenant_id AND p.machine_id = i.machine_id AND p.site_id = ANY ($7)
             AND daterange(p.placed_on, p.removed_on, '[)') @> ($9::timestamptz AT TIME ZONE s.time_zone)::date))
      ORDER BY i.installed_on DESC, i.id DESC LIMIT $8`,
    [tx.tenantId, installedOn, id, list.machineId, list.gameId, list.on, list.siteIds, list.limit + 1, list.now],
  );
  return rows;
}

/** By whose calendar a day of a machine is meant: of the site where it stands, or of the office where it stands at none. */
export async function selectZoneOn(tx: TenantTransaction, { machineId, day }: { readonly machineId: string; readonly day: LocalDate }): Promise<string> {
  const { rows } = await tx.sql<{ time_zone: string }>(
    `SELECT coalesce((SELECT s.time_zone FROM placement p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
                       WHERE p.tenant_id = $1 AND p.machine_id = $2 AND daterange(p.placed_on, p.removed_on, '[)') @> $3::date), time_zone) AS time_zone
       FROM operator WHERE tenant_id = $1`,
    [tx.tenantId, machineId, day],
  );
  const [operator] = rows;
  if (operator === undefined) throw new Error(`operator ${tx.tenantId} is gone`);
  return operator.time_zone;
}
