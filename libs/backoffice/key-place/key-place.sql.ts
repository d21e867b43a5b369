import type { KeyPlace } from '#contracts/key-place';
import type { TenantTransaction } from '#database/tenant';

type PlaceRow = { id: string; site_id: string; site_code: string; code: string; name: string; answered_for: (Omit<KeyPlace['formerResponsible'][number], 'until'> & { until: string | null })[]; users: KeyPlace['users']; revision: number };

const places = `
  SELECT k.id, k.site_id, s.code AS site_code, k.code, k.name, k.revision,
         (SELECT jsonb_agg(jsonb_build_object('personId', r.person_id, 'name', p.name, 'from', r.started_at, 'until', r.ended_at) ORDER BY r.started_at NULLS FIRST)
            FROM key_place_responsible r JOIN person p ON p.tenant_id = r.tenant_id AND p.id = r.person_id
           WHERE r.tenant_id = k.tenant_id AND r.key_place_id = k.id) AS answered_for,
         coalesce((SELECT jsonb_agg(jsonb_build_object('personId', u.person_id, 'name', p.name, 'from', u.started_at, 'until', u.ended_at) ORDER BY u.started_at, p.name)
                     FROM key_place_user u JOIN person p ON p.tenant_id = u.tenant_id AND p.id = u.person_id
                    WHERE u.tenant_id = k.tenant_id AND u.key_place_id = k.id), '[]') AS users
    FROM key_place k
    JOIN site s ON s.tenant_id = k.tenant_id AND s.id = k.site_id
   WHERE k.tenant_id = $1`;

function toPlace(row: PlaceRow): KeyPlace {
  const { id, code, name, users, revision } = row;
  const present = row.answered_for.at(-1);
  if (present === undefined) throw new Error(`nobody answers for key place ${id}`);
  return {
    id, siteId: row.site_id, siteCode: row.site_code, code, name, users, revision,
    responsible: { personId: present.personId, name: present.name, since: present.from },
    formerResponsible: row.answered_for.flatMap(({ until, ...before }) => (until === null ? [] : [{ ...before, until }])),
  };
}

export async function insertPlace(tx: TenantTransaction, place: { id: string; siteId: string; code: string; name: string; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO key_place (tenant_id, id, site_id, code, name, created_at) VALUES ($1, $2, $3, $4, $5, $6)', [tx.tenantId, place.id, place.siteId, place.code, place.name, place.now]);
}

export async function lockPlace(tx: TenantTransaction, id: string): Promise<{ name: string; revision: number } | null> {
  const { rows } = await tx.sql<{ name: string; revision: number }>(
    'SELECT name, revision FROM key_place WHERE tenant_id = $1 AND id = $2 FOR NO KEY UPDATE',
    [tx.tenantId, id],
  );
  return rows[0] ?? null;
}

/** Counts its revision as well, whatever else of it changed. */
export async function updatePlace(tx: TenantTransaction, place: { id: string; name: string }): Promise<void> {
  await tx.sql('UPDATE key_place SET name = $3 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, place.id, place.name]);
}

/** `since` null: the first, from whenever the place was there. */
export async function insertResponsible(tx: TenantTransaction, responsible: { id: string; placeId: string; personId: string; since: Date | null; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO key_place_responsible (tenant_id, id, key_place_id, person_id, started_at, recorded_at) VALUES ($1, $2, $3, $4, $5, $6)', [
    tx.tenantId, responsible.id, responsible.placeId, responsible.personId, responsible.since, responsible.now,
  ]);
}

/** Who answers for it until somebody else does. */
export async function selectResponsible(tx: TenantTransaction, placeId: string): Promise<{ id: string; person_id: string; started_at: Date | null }> {
  const { rows } = await tx.sql<{ id: string; person_id: string; started_at: Date | null }>('SELECT id, person_id, started_at FROM key_place_responsible WHERE tenant_id = $1 AND key_place_id = $2 AND ended_at IS NULL', [
    tx.tenantId, placeId,
  ]);
  if (rows[0] === undefined) throw new Error(`nobody answers for key place ${placeId}`);
  return rows[0];
}

export async function endResponsible(tx: TenantTransaction, end: { id: string; at: Date; now: Date }): Promise<void> {
  await tx.sql('UPDATE key_place_responsible SET ended_at = $3, end_recorded_at = $4 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, end.id, end.at, end.now]);
}

export async function selectPlace(tx: TenantTransaction, id: string): Promise<KeyPlace | null> {
  const { rows } = await tx.sql<PlaceRow>(`${places} AND k.id = $2`, [tx.tenantId, id]);
  return rows[0] === undefined ? null : toPlace(rows[0]);
}

export async function selectPlaces(tx: TenantTransaction, list: { after: string | null; limit: number; siteId: string | null; siteIds: readonly string[] | null }): Promise<KeyPlace[]> {
  const { rows } = await tx.sql<PlaceRow>(
    `${places} AND ($2::text IS NULL OR k.code > $2) AND ($3::uuid IS NULL OR k.site_id = $3) AND ($4::uuid[] IS NULL OR k.site_id = ANY ($4)) ORDER BY k.code LIMIT $5`,
    [tx.tenantId, list.after, list.siteId, list.siteIds, list.limit + 1],
  );
  return rows.map(toPlace);
}

export async function insertUser(tx: TenantTransaction, user: { id: string; placeId: string; personId: string; from: Date; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO key_place_user (tenant_id, id, key_place_id, person_id, started_at, recorded_at) VALUES ($1, $2, $3, $4, $5, $6)', [
    tx.tenantId, user.id, user.placeId, user.personId, user.from, user.now,
  ]);
}

/** The time on the list that has no end yet. */
export async function selectOpenUser(tx: TenantTransaction, user: { placeId: string; personId: string }): Promise<{ id: string; started_at: Date } | null> {
  const { rows } = await tx.sql<{ id: string; started_at: Date }>('SELECT id, started_at FROM key_place_user WHERE tenant_id = $1 AND key_place_id = $2 AND person_id = $3 AND ended_at IS NULL', [
    tx.tenantId, user.placeId, user.personId,
  ]);
  return rows[0] ?? null;
}

export async function endUser(tx: TenantTransaction, end: { id: string; at: Date; now: Date }): Promise<void> {
  await tx.sql('UPDATE key_place_user SET ended_at = $3, end_recorded_at = $4 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, end.id, end.at, end.now]);
}
