import type { KeySite } from '#contracts/key-site';
import type { TenantTransaction } from '#database/tenant';

/** Sites that are not closed, each with the machines, locks, places and copies that are there at present. */
export async function selectKeySites(tx: TenantTransaction, list: { after: string | null; limit: number }): Promise<KeySite[]> {
  const { rows } = await tx.sql<KeySite>(
    `WITH listed AS MATERIALIZED (
       SELECT id, code, name FROM site WHERE tenant_id = $1 AND closed_on IS NULL AND ($2::text IS NULL OR code > $2) ORDER BY code LIMIT $3)
     SELECT s.id AS "siteId", s.code AS "siteCode", s.name AS "siteName", stands.machines, locked."cashBoxLocked", locked."playAreaLocked",
            cut.cuts, place.places, (held_at_places.copies + held_by_people.copies)::int AS copies
       FROM listed s
       CROSS JOIN LATERAL (SELECT count(*)::int AS machines FROM placement p WHERE p.tenant_id = $1 AND p.site_id = s.id AND p.removed_on IS NULL) stands
       CROSS JOIN LATERAL (
         SELECT count(DISTINCT l.machine_id) FILTER (WHERE l.class = 'cash-box')::int AS "cashBoxLocked",
                count(DISTINCT l.machine_id) FILTER (WHERE l.opens IN ('play-area', 'everything'))::int AS "playAreaLocked"
           FROM placement p JOIN machine_lock l ON l.tenant_id = $1 AND l.machine_id = p.machine_id AND l.removed_at IS NULL
          WHERE p.tenant_id = $1 AND p.site_id = s.id AND p.removed_on IS NULL) locked
       CROSS JOIN LATERAL (
         SELECT coalesce(jsonb_agg(jsonb_build_object('keyCodeId', taken.id, 'code', taken.code, 'class', taken.class, 'machines', taken.machines) ORDER BY taken.code), '[]') AS cuts
           FROM (SELECT k.id, k.code, k.class, count(DISTINCT l.machine_id)::int AS machines
                   FROM placement p
                   JOIN machine_lock l ON l.tenant_id = $1 AND l.machine_id = p.machine_id AND l.removed_at IS NULL
                   JOIN key_code k ON k.tenant_id = $1 AND k.id = l.key_code_id
                  WHERE p.tenant_id = $1 AND p.site_id = s.id AND p.removed_on IS NULL
                  GROUP BY k.id, k.code, k.class) taken) cut
       CROSS JOIN LATERAL (
         SELECT coalesce(jsonb_agg(jsonb_build_object('keyPlaceId', k.id, 'code', k.code, 'name', k.name) ORDER BY k.code), '[]') AS places
           FROM key_place k WHERE k.tenant_id = $1 AND k.site_id = s.id) place
       CROSS JOIN LATERAL (
         SELECT count(*) AS copies FROM key_place k JOIN custody c ON c.tenant_id = $1 AND c.place_id = k.id AND c.held_to IS NULL AND c.known_to IS NULL
          WHERE k.tenant_id = $1 AND k.site_id = s.id) held_at_places
       CROSS JOIN LATERAL (
         SELECT count(*) AS copies FROM person w JOIN custody c ON c.tenant_id = $1 AND c.person_id = w.id AND c.held_to IS NULL AND c.known_to IS NULL
          WHERE w.tenant_id = $1 AND w.site_id = s.id) held_by_people
      ORDER BY s.code`,
    [tx.tenantId, list.after, list.limit + 1],
  );
  return rows;
}
