import type { KeyAttention } from '#contracts/key-question';
import type { TenantTransaction } from '#database/tenant';
import { fittedAt } from './holdings.sql';
import type { Moment } from './moment';
import { custodyAt, holderColumns, holderJoins, knownCustody, type HolderRow } from './whereabouts.sql';

type NamedCopy = { key_copy_id: string; number: string; code: string; class: 'access' | 'cash-box' };

/** Copies missing at a moment, with who had each before. What is missing now has an index of its own. */
export async function selectMissing(tx: TenantTransaction, query: Moment): Promise<(NamedCopy & { missing_since: Date } & { [column in keyof HolderRow]: HolderRow[column] | null })[]> {
  const isMissing =
    query.asOf === 'now'
      ? `c.state = 'missing' AND c.held_to IS NULL AND c.known_to IS NULL`
      : `c.state = 'missing' AND c.held_from <= $2 AND coalesce(c.held_to, 'infinity') > $2 AND ${knownCustody('c', '$3')}`;
  const { rows } = await tx.sql<NamedCopy & { missing_since: Date } & HolderRow>(
    `SELECT copy.id AS key_copy_id, copy.number, k.code, copy.class, c.held_from AS missing_since, ${holderColumns('before')}
       FROM custody c
       JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = c.key_copy_id
       JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id
       LEFT JOIN LATERAL (
         SELECT b.* FROM custody b
          WHERE b.tenant_id = $1 AND b.key_copy_id = copy.id AND b.held_from < c.held_from AND b.held_from <= $2 AND ${knownCustody('b', '$3')}
          ORDER BY b.held_from DESC LIMIT 1) before ON true
       ${holderJoins('before')}
      WHERE c.tenant_id = $1 AND ${isMissing}
      ORDER BY c.held_from, copy.number`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}

/** Copies that were lent until before the moment and are still there. */
export async function selectOverdue(tx: TenantTransaction, query: Moment): Promise<(NamedCopy & HolderRow & { due_back_at: Date })[]> {
  const { rows } = await tx.sql<NamedCopy & HolderRow & { due_back_at: Date }>(
    `WITH lent AS MATERIALIZED (SELECT id, due_back_at FROM custody_event WHERE tenant_id = $1 AND due_back_at <= $2 AND recorded_at <= $3)
     SELECT copy.id AS key_copy_id, copy.number, k.code, copy.class, ${holderColumns('held')}
       FROM lent
       JOIN custody_event_copy ec ON ec.tenant_id = $1 AND ec.event_id = lent.id
       JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = ec.key_copy_id
       JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id
       CROSS JOIN LATERAL (${custodyAt('copy', '$2', '$3')}) held
       ${holderJoins('held')}
      WHERE held.event_id = lent.id AND held.state = 'held'
      ORDER BY lent.due_back_at, copy.number`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}

/** Cash-box keys that turned up at a site and are still there. */
export async function selectBreaches(tx: TenantTransaction, query: Moment): Promise<(NamedCopy & HolderRow & { breach_due_at: Date })[]> {
  const { rows } = await tx.sql<NamedCopy & HolderRow & { breach_due_at: Date }>(
    `WITH breach AS MATERIALIZED (SELECT event_id, key_copy_id, breach_due_at FROM custody_event_copy WHERE tenant_id = $1 AND breach_due_at IS NOT NULL)
     SELECT copy.id AS key_copy_id, copy.number, k.code, copy.class, breach.breach_due_at, ${holderColumns('held')}
       FROM breach
       JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = breach.key_copy_id
       JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id
       CROSS JOIN LATERAL (${custodyAt('copy', '$2', '$3')}) held
       ${holderJoins('held')}
      WHERE held.event_id = breach.event_id AND held.state = 'held'
      ORDER BY breach.breach_due_at, copy.number`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}

export type Side<Prefix extends string> = { [column in `${Prefix}_kind`]: 'person' | 'store' | 'place' | null } & {
  [column in `${Prefix}_id` | `${Prefix}_code` | `${Prefix}_name` | `${Prefix}_site_id` | `${Prefix}_site_code`]: string | null;
};
export type UnacknowledgedRow = {
  event_id: string;
  says: KeyAttention['unacknowledged'][number]['kind'];
  happened_at: Date;
  acknowledge_by: Date;
  numbers: string[];
} & Side<'from'> &
  Side<'to'>;

export const side = (prefix: 'from' | 'to'): string => `
  CASE WHEN e.${prefix}_person_id IS NOT NULL THEN 'person' WHEN e.${prefix}_store_id IS NOT NULL THEN 'store' WHEN e.${prefix}_place_id IS NOT NULL THEN 'place' END AS ${prefix}_kind,
  coalesce(e.${prefix}_person_id, e.${prefix}_store_id, e.${prefix}_place_id) AS ${prefix}_id,
  coalesce(${prefix}_person.code, ${prefix}_store.code, ${prefix}_place.code) AS ${prefix}_code,
  coalesce(${prefix}_person.name, ${prefix}_store.name, ${prefix}_place.name) AS ${prefix}_name,
  ${prefix}_site.id AS ${prefix}_site_id, ${prefix}_site.code AS ${prefix}_site_code`;
export const sideJoins = (prefix: 'from' | 'to'): string => `
  LEFT JOIN person ${prefix}_person ON ${prefix}_person.tenant_id = $1 AND ${prefix}_person.id = e.${prefix}_person_id
  LEFT JOIN key_store ${prefix}_store ON ${prefix}_store.tenant_id = $1 AND ${prefix}_store.id = e.${prefix}_store_id
  LEFT JOIN key_place ${prefix}_place ON ${prefix}_place.tenant_id = $1 AND ${prefix}_place.id = e.${prefix}_place_id
  LEFT JOIN site ${prefix}_site ON ${prefix}_site.tenant_id = $1 AND ${prefix}_site.id = coalesce(${prefix}_person.site_id, ${prefix}_place.site_id)`;

/**
 * What was given and not confirmed by who received it. A correction takes the place of the event it names. What is open now
 * stands in a table of its own; a past moment is told from all that was ever given.
 */
export async function selectUnacknowledged(tx: TenantTransaction, query: Moment): Promise<UnacknowledgedRow[]> {
  const given = query.asOf === 'now' ? 'custody_unconfirmed u JOIN custody_event open ON open.tenant_id = $1 AND open.id = u.event_id' : 'custody_event open';
  const ofTenant = query.asOf === 'now' ? 'u.tenant_id = $1' : 'open.tenant_id = $1';
  const { rows } = await tx.sql<UnacknowledgedRow>(
    `WITH e AS MATERIALIZED (
       SELECT open.* FROM ${given}
        WHERE ${ofTenant} AND open.acknowledge_by IS NOT NULL AND open.happened_at <= $2 AND open.recorded_at <= $3
          AND NOT EXISTS (SELECT FROM custody_acknowledgement a
                           WHERE a.tenant_id = $1 AND a.event_id = open.id AND a.side = 'receiver' AND a.acknowledged_at <= least($2::timestamptz, $3::timestamptz)))
     SELECT e.id AS event_id, e.says, e.happened_at, e.acknowledge_by, given.numbers, ${side('from')}, ${side('to')}
       FROM e
       CROSS JOIN LATERAL (
         SELECT array_agg(copy.number ORDER BY copy.number) AS numbers
           FROM custody_event_copy ec JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = ec.key_copy_id
          WHERE ec.tenant_id = $1 AND ec.event_id = e.id
            AND NOT EXISTS (SELECT FROM custody_event_copy newer JOIN custody_event correction ON correction.tenant_id = $1 AND correction.id = newer.event_id
                             WHERE newer.tenant_id = $1 AND newer.corrects_id = e.id AND newer.key_copy_id = ec.key_copy_id AND correction.recorded_at <= $3)) given
       ${sideJoins('from')} ${sideJoins('to')}
      WHERE given.numbers IS NOT NULL
      ORDER BY e.acknowledge_by, e.id`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}

export type UncoveredRow = { site_id: string; site_code: string; site_name: string; machine_id: string; machine_tag: string; has_access_lock: boolean; site_machines: number };

/** Machines at open sites whose play area nobody of the site can open, and how many machines the site has. */
export async function selectWithoutAccessKey(tx: TenantTransaction, query: Moment): Promise<UncoveredRow[]> {
  const { rows } = await tx.sql<UncoveredRow>(
    `WITH staff_key AS (
       SELECT DISTINCT copy.key_code_id, coalesce(person.site_id, place.site_id) AS site_id
         FROM key_copy copy
         CROSS JOIN LATERAL (${custodyAt('copy', '$2', '$3')}) held
         LEFT JOIN person ON person.tenant_id = $1 AND person.id = held.person_id
         LEFT JOIN key_place place ON place.tenant_id = $1 AND place.id = held.place_id
        WHERE copy.tenant_id = $1 AND copy.class = 'access' AND coalesce(person.site_id, place.site_id) IS NOT NULL),
     fitted AS MATERIALIZED (SELECT machine_id, site_id, key_code_id FROM (${fittedAt('$2', '$3')}) locks WHERE opens = 'play-area' AND site_id IS NOT NULL),
     standing AS (
       SELECT s.id AS site_id, s.code AS site_code, s.name AS site_name, m.id AS machine_id, m.tag AS machine_tag,
              EXISTS (SELECT FROM fitted WHERE fitted.machine_id = m.id) AS has_access_lock,
              EXISTS (SELECT FROM fitted JOIN staff_key ON staff_key.key_code_id = fitted.key_code_id AND staff_key.site_id = fitted.site_id
                       WHERE fitted.machine_id = m.id) AS is_covered,
              count(*) OVER (PARTITION BY s.id)::int AS site_machines
         FROM site s
         JOIN placement p ON p.tenant_id = $1 AND p.site_id = s.id
         JOIN machine m ON m.tenant_id = $1 AND m.id = p.machine_id
        WHERE s.tenant_id = $1 AND s.opened_on <= ($2::timestamptz AT TIME ZONE s.time_zone)::date
          AND (s.closed_on IS NULL OR s.closed_on > ($2::timestamptz AT TIME ZONE s.time_zone)::date)
          AND p.placed_on <= ($2::timestamptz AT TIME ZONE s.time_zone)::date
          AND (p.removed_on IS NULL OR p.removed_on > ($2::timestamptz AT TIME ZONE s.time_zone)::date))
     SELECT site_id, site_code, site_name, machine_id, machine_tag, has_access_lock, site_machines
       FROM standing WHERE NOT is_covered ORDER BY site_code, machine_tag`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}

export type CollectingCustodianRow = { store_id: string; store_code: string; store_name: string; person_id: string; person_code: string; person_name: string; started_at: Date };

/** Custodians who are members as collectors, or have collected within three months and since they keep the store. */
export async function selectCollectingCustodians(tx: TenantTransaction, query: Moment): Promise<CollectingCustodianRow[]> {
  const { rows } = await tx.sql<CollectingCustodianRow>(
    `SELECT s.id AS store_id, s.code AS store_code, s.name AS store_name, p.id AS person_id, p.code AS person_code, p.name AS person_name, c.started_at
       FROM key_custodian c
       JOIN key_store s ON s.tenant_id = $1 AND s.id = c.key_store_id
       JOIN person p ON p.tenant_id = $1 AND p.id = c.person_id
      WHERE c.tenant_id = $1 AND c.started_at <= $2 AND (c.ended_at IS NULL OR c.ended_at > $2) AND c.recorded_at <= $3
        AND (EXISTS (SELECT FROM identity.members() m WHERE m.person_id = p.id AND m.role = 'collector')
          OR EXISTS (SELECT FROM collection v
                      WHERE v.tenant_id = $1 AND v.collected_by = p.id AND v.recorded_at <= $3
                        AND v.happened_at <= $2 AND v.happened_at >= greatest(c.started_at, $2::timestamptz - interval '3 months')))
      ORDER BY s.code`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}
