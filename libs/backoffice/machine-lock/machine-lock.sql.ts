import type { MachineLock } from '#contracts/machine-lock';
import type { TenantTransaction } from '#database/tenant';

type LockRow = {
  id: string;
  machine_id: string;
  machine_tag: string;
  place: string;
  opens: MachineLock['opens'];
  class: MachineLock['class'];
  key_code_id: string;
  key_code: string;
  fitted_at: Date;
  removed_at: Date | null;
  removal_reason: string | null;
};

const locks = `
  SELECT l.id, l.machine_id, m.tag AS machine_tag, l.place, l.opens, l.class, l.key_code_id, k.code AS key_code, l.fitted_at, l.removed_at, l.removal_reason
    FROM machine_lock l
    JOIN machine m ON m.tenant_id = l.tenant_id AND m.id = l.machine_id
    JOIN key_code k ON k.tenant_id = l.tenant_id AND k.id = l.key_code_id
   WHERE l.tenant_id = $1`;

function toLock(row: LockRow): MachineLock {
  return {
    id: row.id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    place: row.place,
    opens: row.opens,
    class: row.class,
    keyCodeId: row.key_code_id,
    keyCode: row.key_code,
    fittedAt: row.fitted_at.toISOString(),
    removedAt: row.removed_at?.toISOString() ?? null,
    removalReason: row.removal_reason,
  };
}

export type NewLock = { id: string; machineId: string; place: string; opens: MachineLock['opens']; class: MachineLock['class']; keyCodeId: string; fittedAt: Date };

export async function insertLocks(tx: TenantTransaction, input: { locks: readonly NewLock[]; now: Date }): Promise<void> {
  const column = <Value>(of: (lock: NewLock) => Value): Value[] => input.locks.map(of);
  await tx.sql(
    `INSERT INTO machine_lock (tenant_id, id, machine_id, place, opens, class, key_code_id, fitted_at, recorded_at, recorded_by)
     SELECT $1, l.id, l.machine_id, l.place, l.opens, l.class, l.key_code_id, l.fitted_at, $2, $3
       FROM unnest($4::uuid[], $5::uuid[], $6::text[], $7::text[], $8::text[], $9::uuid[], $10::timestamptz[]) AS l (id, machine_id, place, opens, class, key_code_id, fitted_at)`,
    [tx.tenantId, input.now, tx.actor, column(({ id }) => id), column((lock) => lock.machineId), column(({ place }) => place), column(({ opens }) => opens), column((lock) => lock.class), column((lock) => lock.keyCodeId), column((lock) => lock.fittedAt)],
  );
}

/** What is known about where a lock is to go, in the order of the wishes; the machines are held meanwhile. */
export type Fitting = {
  tag: string | null;
  /** Whether the machine stood at a site on that day, by the site's calendar. */
  placed: boolean;
  code: string | null;
  class: MachineLock['class'] | null;
  /** Whether a key of the cut was lost and its case is over: no lock takes it any more. */
  lost: boolean;
  /** A lock that is in that place at that time or after it. */
  other: { code: string; from: Date } | null;
};

type Wish = { machineId: string; place: string; keyCodeId: string; fittedAt: Date };

export async function selectFittings(tx: TenantTransaction, wishes: readonly Wish[]): Promise<Fitting[]> {
  const machineIds = wishes.map((wish) => wish.machineId);
  await tx.sql('SELECT FROM machine WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) ORDER BY id FOR NO KEY UPDATE', [tx.tenantId, machineIds]);
  const { rows } = await tx.sql<Omit<Fitting, 'other'> & { other_code: string | null; other_from: Date | null }>(
    `SELECT m.tag, k.code, k.class,
            EXISTS (SELECT FROM key_case lost WHERE lost.tenant_id = $1 AND lost.key_code_id = w.key_code_id AND lost.state = 'closed')
              AND NOT EXISTS (SELECT FROM key_case again WHERE again.tenant_id = $1 AND again.key_code_id = w.key_code_id AND again.state = 'open') AS lost,
            other.code AS other_code, other.fitted_at AS other_from,
            EXISTS (SELECT FROM placement p JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
                     WHERE p.tenant_id = $1 AND p.machine_id = w.machine_id
                       AND daterange(p.placed_on, p.removed_on, '[)') @> (w.fitted_at AT TIME ZONE s.time_zone)::date) AS placed
       FROM unnest($2::uuid[], $3::text[], $4::uuid[], $5::timestamptz[]) WITH ORDINALITY AS w (machine_id, place, key_code_id, fitted_at, number)
       LEFT JOIN machine m ON m.tenant_id = $1 AND m.id = w.machine_id
       LEFT JOIN key_code k ON k.tenant_id = $1 AND k.id = w.key_code_id
       LEFT JOIN LATERAL (
         SELECT c.code, l.fitted_at FROM machine_lock l JOIN key_code c ON c.tenant_id = l.tenant_id AND c.id = l.key_code_id
          WHERE l.tenant_id = $1 AND l.machine_id = w.machine_id AND l.place = w.place AND coalesce(l.removed_at, 'infinity') > w.fitted_at
          ORDER BY l.fitted_at LIMIT 1) other ON true
      ORDER BY w.number`,
    [tx.tenantId, machineIds, wishes.map(({ place }) => place), wishes.map((wish) => wish.keyCodeId), wishes.map((wish) => wish.fittedAt)],
  );
  return rows.map(({ other_code: otherCode, other_from: from, ...row }) => ({ ...row, other: otherCode === null || from === null ? null : { code: otherCode, from } }));
}

export type MachineAtSite = { id: string; tag: string; site_code: string } & (
  | { lock_id: null; taken_by: null; lock_opens: null; lock_fitted_at: null; lock_stays: null }
  | { lock_id: string; taken_by: string; lock_opens: MachineLock['opens']; lock_fitted_at: Date; lock_stays: boolean }
);

/** Machines that stood at sites at a moment, by each site's calendar, with the cut of a lock that is in the way; they are held meanwhile. */
export async function holdMachinesAtSites(
  tx: TenantTransaction,
  wish: { siteIds: readonly string[]; place: string; opens: MachineLock['opens']; at: Date },
): Promise<MachineAtSite[]> {
  const { rows } = await tx.sql<MachineAtSite>(
    `SELECT m.id, m.tag, s.code AS site_code, taken.code AS taken_by, taken.id AS lock_id, taken.opens AS lock_opens, taken.fitted_at AS lock_fitted_at, taken.stays AS lock_stays
       FROM placement p
       JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
       JOIN machine m ON m.tenant_id = $1 AND m.id = p.machine_id
       LEFT JOIN LATERAL (
         SELECT l.id, l.opens, l.fitted_at, l.removed_at IS NULL AS stays, k.code FROM machine_lock l JOIN key_code k ON k.tenant_id = $1 AND k.id = l.key_code_id
          WHERE l.tenant_id = $1 AND l.machine_id = m.id AND coalesce(l.removed_at, 'infinity') > $3
            AND (l.place = $4 OR l.opens = $5 OR l.opens = 'everything' OR $5 = 'everything')
          ORDER BY l.fitted_at LIMIT 1) taken ON true
      WHERE p.tenant_id = $1 AND p.site_id = ANY ($2::uuid[])
        AND p.placed_on <= ($3 AT TIME ZONE s.time_zone)::date AND coalesce(p.removed_on, 'infinity') > ($3 AT TIME ZONE s.time_zone)::date
      ORDER BY m.id FOR NO KEY UPDATE OF m`,
    [tx.tenantId, wish.siteIds, wish.at, wish.place, wish.opens],
  );
  return rows;
}

/** Takes locks off and fits those of another cut in their places, from the same moment on. */
export async function changeLocks(
  tx: TenantTransaction,
  change: { locks: readonly { oldId: string; newId: string }[]; keyCodeId: string; at: Date; now: Date; reason: string },
): Promise<void> {
  const oldIds = change.locks.map(({ oldId }) => oldId);
  await tx.sql('SELECT FROM machine_lock WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) ORDER BY id FOR UPDATE', [tx.tenantId, oldIds]);
  await tx.sql(
    `UPDATE machine_lock SET removed_at = $3, removal_recorded_at = $4, removal_recorded_by = $5, removal_reason = $6 WHERE tenant_id = $1 AND id = ANY ($2::uuid[])`,
    [tx.tenantId, oldIds, change.at, change.now, tx.actor, change.reason],
  );
  await tx.sql(
    `INSERT INTO machine_lock (tenant_id, id, machine_id, place, opens, class, key_code_id, fitted_at, recorded_at, recorded_by)
     SELECT $1, new.id, l.machine_id, l.place, l.opens, l.class, $4, l.removed_at, $5, $6
       FROM unnest($2::uuid[], $3::uuid[]) AS new (old_id, id) JOIN machine_lock l ON l.tenant_id = $1 AND l.id = new.old_id`,
    [tx.tenantId, oldIds, change.locks.map(({ newId }) => newId), change.keyCodeId, change.now, tx.actor],
  );
}

export async function selectLock(tx: TenantTransaction, id: string): Promise<MachineLock | null> {
  const { rows } = await tx.sql<LockRow>(`${locks} AND l.id = $2`, [tx.tenantId, id]);
  return rows[0] === undefined ? null : toLock(rows[0]);
}

export async function selectLocksById(tx: TenantTransaction, ids: readonly string[]): Promise<MachineLock[]> {
  const { rows } = await tx.sql<LockRow>(`${locks} AND l.id = ANY ($2::uuid[]) ORDER BY array_position($2::uuid[], l.id)`, [tx.tenantId, ids]);
  return rows.map(toLock);
}

export async function selectLocks(
  tx: TenantTransaction,
  list: { after: string | null; limit: number; machineId: string | null; siteId: string | null; keyCodeId: string | null; inPlace: boolean | null; fittedBefore: string | null },
): Promise<MachineLock[]> {
  const { rows } = await tx.sql<LockRow>(
    `${locks} AND ($2::uuid IS NULL OR l.id > $2) AND ($3::uuid IS NULL OR l.machine_id = $3) AND ($4::uuid IS NULL OR l.key_code_id = $4)
        AND ($5::boolean IS NULL OR (l.removed_at IS NULL) = $5) AND ($6::timestamptz IS NULL OR l.fitted_at < $6)
        AND ($8::uuid IS NULL OR EXISTS (SELECT FROM placement p WHERE p.tenant_id = $1 AND p.machine_id = l.machine_id AND p.site_id = $8 AND p.removed_on IS NULL))
      ORDER BY l.id LIMIT $7`,
    [tx.tenantId, list.after, list.machineId, list.keyCodeId, list.inPlace, list.fittedBefore, list.limit + 1, list.siteId],
  );
  return rows.map(toLock);
}

export type FittedLockRow = { id: string; key_code_id: string; class: 'access' | 'cash-box'; fitted_at: Date; removed_at: Date | null };

export async function holdLock(tx: TenantTransaction, id: string): Promise<FittedLockRow | null> {
  const { rows } = await tx.sql<FittedLockRow>('SELECT id, key_code_id, class, fitted_at, removed_at FROM machine_lock WHERE tenant_id = $1 AND id = $2 FOR UPDATE', [tx.tenantId, id]);
  return rows[0] ?? null;
}

export async function takeOffLock(tx: TenantTransaction, removal: { id: string; at: Date; recordedAt: Date; reason: string }): Promise<void> {
  await tx.sql(
    `UPDATE machine_lock SET removed_at = $3, removal_recorded_at = $4, removal_recorded_by = $5, removal_reason = $6 WHERE tenant_id = $1 AND id = $2`,
    [tx.tenantId, removal.id, removal.at, removal.recordedAt, tx.actor, removal.reason],
  );
}

/** Fits a lock of another cut where one was taken off, from the same moment on. */
export async function fitInItsPlace(tx: TenantTransaction, fitting: { id: string; insteadOfId: string; keyCodeId: string; recordedAt: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO machine_lock (tenant_id, id, machine_id, place, opens, class, key_code_id, fitted_at, recorded_at, recorded_by)
     SELECT $1, $3, machine_id, place, opens, class, $4, removed_at, $5, $6 FROM machine_lock WHERE tenant_id = $1 AND id = $2`,
    [tx.tenantId, fitting.insteadOfId, fitting.id, fitting.keyCodeId, fitting.recordedAt, tx.actor],
  );
}
