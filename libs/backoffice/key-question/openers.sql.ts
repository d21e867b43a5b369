import type { Openers } from '#contracts/key-question';
import type { KeyHolder, KeyPerson } from '#contracts/key-whereabouts';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { Keeper } from '#domain/keys/openers';
import { keepers, keptIn } from './keepers.sql';
import { knownCustody, knownEnd } from './whereabouts.sql';

/** Any time from `from` to before `before`, as the books knew it. */
export type Window = { readonly from: Date; readonly before: Date; readonly knownAt: Date };

type Stood = { site_id: string; site_code: string; site_name: string; placed_on: LocalDate; removed_on: LocalDate | null };
export type PlacedRow = { tag: string } & (Stood | { site_id: null });

/** The machine, once for each place where it stood by the days of the sites; once without one where it stood nowhere. */
export async function selectPlaced(tx: TenantTransaction, query: Window & { machineId: string }): Promise<PlacedRow[]> {
  const { rows } = await tx.sql<PlacedRow>(
    `SELECT m.tag, stood.*
       FROM machine m
       LEFT JOIN LATERAL (
         SELECT s.id AS site_id, s.code AS site_code, s.name AS site_name, p.placed_on, p.removed_on
           FROM placement p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
          WHERE p.tenant_id = $1 AND p.machine_id = m.id
            AND (p.placed_on::timestamp AT TIME ZONE s.time_zone) < $4
            AND (p.removed_on IS NULL OR (p.removed_on::timestamp AT TIME ZONE s.time_zone) > $3)) stood ON true
      WHERE m.tenant_id = $1 AND m.id = $2
      ORDER BY stood.placed_on`,
    [tx.tenantId, query.machineId, query.from, query.before],
  );
  return rows;
}

export type LockRow = {
  lock_id: string;
  key_code_id: string;
  place: string;
  opens: Openers['locks'][number]['opens'];
  code: string;
  outside_copies: boolean;
  fitted_at: Date;
  removed_at: Date | null;
};

/** Locks of a machine that open this or everything, fitted at any time of the window. */
export async function selectFittedLocks(tx: TenantTransaction, query: Window & { machineId: string; opens: Openers['opens'] }): Promise<LockRow[]> {
  const { rows } = await tx.sql<LockRow>(
    `SELECT l.id AS lock_id, l.key_code_id, l.place, l.opens, k.code, k.outside_copies, l.fitted_at,
            ${knownEnd('l.removed_at', 'l.removal_recorded_at', '$5')} AS removed_at
       FROM machine_lock l JOIN key_code k ON k.tenant_id = $1 AND k.id = l.key_code_id
      WHERE l.tenant_id = $1 AND l.machine_id = $2 AND l.opens IN ($6, 'everything')
        AND l.fitted_at < $4 AND l.recorded_at <= $5
        AND coalesce(${knownEnd('l.removed_at', 'l.removal_recorded_at', '$5')}, 'infinity') > $3
      ORDER BY l.place, l.fitted_at`,
    [tx.tenantId, query.machineId, query.from, query.before, query.knownAt, query.opens],
  );
  return rows;
}

export type StayRow = { key_copy_id: string; number: string; key_code_id: string; person_id: string | null; store_id: string | null; place_id: string | null; held_from: Date; held_to: Date | null };

/**
 * Where every copy of these cuts was during the window: the stay that its beginning falls into, found by one step in the
 * index of each copy, and those that begin later. How much came before and after costs nothing. Names are looked up apart:
 * to plan all those joins would take longer than to read the rows.
 */
export async function selectStays(tx: TenantTransaction, query: Window & { keyCodeIds: readonly string[] }): Promise<StayRow[]> {
  const { rows } = await tx.sql<StayRow>(
    `SELECT copy.id AS key_copy_id, copy.number, copy.key_code_id, stay.person_id, stay.store_id, stay.place_id, stay.held_from, stay.held_to
       FROM key_copy copy
       CROSS JOIN LATERAL (
         (SELECT c.* FROM custody c
           WHERE c.tenant_id = $1 AND c.key_copy_id = copy.id AND c.held_from <= $3 AND ${knownCustody('c', '$5')}
           ORDER BY c.held_from DESC LIMIT 1)
         UNION ALL
         (SELECT c.* FROM custody c
           WHERE c.tenant_id = $1 AND c.key_copy_id = copy.id AND c.held_from > $3 AND c.held_from < $4 AND ${knownCustody('c', '$5')})) stay
      WHERE copy.tenant_id = $1 AND copy.key_code_id = ANY ($2::uuid[]) AND stay.state <> 'destroyed'
      ORDER BY copy.number, stay.held_from`,
    [tx.tenantId, query.keyCodeIds, query.from, query.before, query.knownAt],
  );
  return rows;
}

export type KeeperRow = { holder_id: string; person_id: string; as: Keeper['as']; started_at: Date | null; ended_at: Date | null };

/** Who could take keys from these stores and named places; `started_at` is null for who answered for a place first. */
export async function selectKeepers(tx: TenantTransaction, query: Window & { holderIds: readonly string[] }): Promise<KeeperRow[]> {
  const { rows } = await tx.sql<KeeperRow>(
    `SELECT k.holder_id, k.person_id, k.kind AS as, nullif(k.started_at, '-infinity') AS started_at, ${knownEnd('k.ended_at', 'k.end_recorded_at', '$5')} AS ended_at
       FROM ${keepers} k
      WHERE k.holder_id = ANY ($2::uuid[]) AND ${keptIn('k', { from: '$3', before: '$4', known: '$5' })}`,
    [tx.tenantId, query.holderIds, query.from, query.before, query.knownAt],
  );
  return rows;
}

export async function selectKeyPeople(tx: TenantTransaction, ids: readonly string[]): Promise<KeyPerson[]> {
  const { rows } = await tx.sql<KeyPerson>(
    `SELECT p.id AS "personId", p.code, p.name, p.employed_by AS "employedBy", p.site_id AS "siteId", s.code AS "siteCode"
       FROM person p LEFT JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
      WHERE p.tenant_id = $1 AND p.id = ANY ($2::uuid[]) ORDER BY p.code`,
    [tx.tenantId, ids],
  );
  return rows;
}

export type NamedRow = KeyHolder & { readonly employedBy: KeyPerson['employedBy'] | null };

/** People, stores and named places by id, in one statement; each kind by code. */
export async function selectNamed(tx: TenantTransaction, query: { personIds: readonly string[]; storeIds: readonly string[]; placeIds: readonly string[] }): Promise<NamedRow[]> {
  const { rows } = await tx.sql<NamedRow>(
    `SELECT 'person' AS kind, p.id, p.code, p.name, p.site_id AS "siteId", s.code AS "siteCode", p.employed_by AS "employedBy"
       FROM person p LEFT JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
      WHERE p.tenant_id = $1 AND p.id = ANY ($2::uuid[])
      UNION ALL
     SELECT 'store', id, code, name, NULL, NULL, NULL FROM key_store WHERE tenant_id = $1 AND id = ANY ($3::uuid[])
      UNION ALL
     SELECT 'place', p.id, p.code, p.name, p.site_id, s.code, NULL
       FROM key_place p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
      WHERE p.tenant_id = $1 AND p.id = ANY ($4::uuid[])
      ORDER BY kind, code`,
    [tx.tenantId, query.personIds, query.storeIds, query.placeIds],
  );
  return rows;
}
