import type { KeyTasks } from '#contracts/key-task';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { keepers } from '../key-question/keepers.sql';
import { holderColumns, holderJoins, type HolderRow } from '../key-question/whereabouts.sql';

export type KeyOutRow = HolderRow & { key_copy_id: string; number: string; code: string; class: 'access' | 'cash-box' };
const copyColumns = `copy.id AS key_copy_id, copy.number, code.code, copy.class, ${holderColumns('held')}`;
const copyJoins = `
  JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = held.key_copy_id
  JOIN key_code code ON code.tenant_id = $1 AND code.id = copy.key_code_id
  ${holderJoins('held')}`;

export type LeaverRow = { person_id: string; left_on: LocalDate; overdue: boolean; keeps: KeyTasks['leavers'][number]['keeps'] };

/** People with a last day who have keys, keep a store, answer for a place or are on its list. */
export async function selectLeavers(tx: TenantTransaction, now: Date): Promise<LeaverRow[]> {
  const { rows } = await tx.sql<LeaverRow>(
    `SELECT p.id AS person_id, p.left_on, p.left_on < ($2::timestamptz AT TIME ZONE o.time_zone)::date AS overdue,
            coalesce(kept.keeps, '[]') AS keeps
       FROM person p
       JOIN operator o ON o.tenant_id = $1
       LEFT JOIN LATERAL (
         SELECT jsonb_agg(jsonb_build_object('kind', k.kind, 'id', k.id, 'code', k.code, 'name', k.name) ORDER BY k.kind DESC, k.code) AS keeps
           FROM (SELECT DISTINCT CASE WHEN s.id IS NULL THEN 'place' ELSE 'store' END AS kind, coalesce(s.id, l.id) AS id, coalesce(s.code, l.code) AS code, coalesce(s.name, l.name) AS name
                   FROM ${keepers} keeper
                   LEFT JOIN key_store s ON s.tenant_id = $1 AND s.id = keeper.holder_id
                   LEFT JOIN key_place l ON l.tenant_id = $1 AND l.id = keeper.holder_id
                  WHERE keeper.person_id = p.id AND (keeper.ended_at IS NULL OR keeper.ended_at > $2)) k) kept ON true
      WHERE p.tenant_id = $1 AND p.left_on IS NOT NULL
        AND (kept.keeps IS NOT NULL OR EXISTS (SELECT FROM custody c WHERE c.tenant_id = $1 AND c.person_id = p.id AND c.held_to IS NULL AND c.known_to IS NULL))
      ORDER BY p.left_on, p.code`,
    [tx.tenantId, now],
  );
  return rows;
}

/** Keys that people have now. */
export async function selectKeysOfPeople(tx: TenantTransaction, personIds: readonly string[]): Promise<KeyOutRow[]> {
  const { rows } = await tx.sql<KeyOutRow>(
    `SELECT ${copyColumns} FROM custody held ${copyJoins}
      WHERE held.tenant_id = $1 AND held.person_id = ANY ($2::uuid[]) AND held.held_to IS NULL AND held.known_to IS NULL ORDER BY copy.number`,
    [tx.tenantId, personIds],
  );
  return rows;
}

export type ClosingSiteRow = { site_id: string; site_code: string; site_name: string; closed_on: LocalDate; overdue: boolean };

export async function selectClosingSites(tx: TenantTransaction, now: Date): Promise<ClosingSiteRow[]> {
  const { rows } = await tx.sql<ClosingSiteRow>(
    `SELECT id AS site_id, code AS site_code, name AS site_name, closed_on, closed_on <= ($2::timestamptz AT TIME ZONE time_zone)::date AS overdue
       FROM site WHERE tenant_id = $1 AND closed_on IS NOT NULL ORDER BY closed_on, code`,
    [tx.tenantId, now],
  );
  return rows;
}

/** Keys with people of these sites, or at places there, now. */
export async function selectKeysAtSites(tx: TenantTransaction, siteIds: readonly string[]): Promise<KeyOutRow[]> {
  const { rows } = await tx.sql<KeyOutRow>(
    `SELECT ${copyColumns} FROM custody held ${copyJoins}
      WHERE held.tenant_id = $1 AND held.held_to IS NULL AND held.known_to IS NULL
        AND (held.person_id IN (SELECT id FROM person WHERE tenant_id = $1 AND site_id = ANY ($2::uuid[]))
             OR held.place_id IN (SELECT id FROM key_place WHERE tenant_id = $1 AND site_id = ANY ($2::uuid[])))
      ORDER BY copy.number`,
    [tx.tenantId, siteIds],
  );
  return rows;
}
