import type { KeyAttention } from '#contracts/key-question';
import type { TenantTransaction } from '#database/tenant';
import { sideJoins, sideNames, type HolderNames } from './holder-names.sql';
import { fittedAt } from './holdings.sql';
import type { Moment } from './moment';
import { custodyAt, custodyNow, custodyThen, holderColumns, holderJoins, knownCustody, knownEnd, type HolderRow } from './whereabouts.sql';

type NamedCopy = { key_copy_id: string; number: string; code: string; class: 'access' | 'cash-box' };

const soAt = (alias: string, { asOf }: Moment): string => (asOf === 'now' ? custodyNow(alias) : custodyThen(alias, '$2', '$3'));

/** Copies missing at a moment, with who had each before. */
export async function selectMissing(tx: TenantTransaction, query: Moment): Promise<(NamedCopy & { missing_since: Date } & { [column in keyof HolderRow]: HolderRow[column] | null })[]> {
  const { rows } = await tx.sql<NamedCopy & { missing_since: Date } & HolderRow>(
    `WITH missing AS MATERIALIZED (SELECT c.key_copy_id, c.held_from FROM custody c WHERE c.tenant_id = $1 AND c.state = 'missing' AND ${soAt('c', query)})
     SELECT copy.id AS key_copy_id, copy.number, k.code, copy.class, missing.held_from AS missing_since, ${holderColumns('before')}
       FROM missing
       ${namedCopy('missing')}
       LEFT JOIN LATERAL (
         SELECT b.* FROM custody b
          WHERE b.tenant_id = $1 AND b.key_copy_id = copy.id AND b.held_from < missing.held_from AND b.held_from <= $2 AND ${knownCustody('b', '$3')}
          ORDER BY b.held_from DESC LIMIT 1) before ON true
       ${holderJoins('before')}
      ORDER BY missing.held_from, copy.number`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}

/** Looked up one by one: a plan for any number of them would read all copies. */
const namedCopy = (of: string): string => `
  CROSS JOIN LATERAL (SELECT c.* FROM key_copy c WHERE c.tenant_id = $1 AND c.id = ${of}.key_copy_id OFFSET 0) copy
  JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id`;

/** Copies that were lent until before the moment and are still there. */
export async function selectOverdue(tx: TenantTransaction, query: Moment): Promise<(NamedCopy & HolderRow & { due_back_at: Date })[]> {
  const { rows } = await tx.sql<NamedCopy & HolderRow & { due_back_at: Date }>(
    `WITH held AS MATERIALIZED (SELECT c.* FROM custody c WHERE c.tenant_id = $1 AND c.due_back_at <= $2 AND $3::timestamptz IS NOT NULL AND ${soAt('c', query)})
     SELECT copy.id AS key_copy_id, copy.number, k.code, copy.class, ${holderColumns('held')}
       FROM held
       ${namedCopy('held')}
       ${holderJoins('held')}
      ORDER BY held.due_back_at, copy.number`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}

/**
 * Cash-box keys that people or places of a site have at a moment without an exception that runs then. To be put right within a
 * day: of the end of the last exception under which the key was there, or else of when the books first said so.
 */
export async function selectBreaches(tx: TenantTransaction, query: Moment): Promise<(NamedCopy & HolderRow & { breach_due_at: Date })[]> {
  const { rows } = await tx.sql<NamedCopy & HolderRow & { breach_due_at: Date }>(
    `WITH held AS MATERIALIZED (SELECT c.* FROM custody c
                                 WHERE c.tenant_id = $1 AND c.cash_box_at_site AND $2::timestamptz IS NOT NULL AND $3::timestamptz IS NOT NULL AND ${soAt('c', query)})
     SELECT copy.id AS key_copy_id, copy.number, k.code, copy.class,
            coalesce(excused.until + interval '24 hours', told.breach_due_at, held.held_from + interval '24 hours') AS breach_due_at, ${holderColumns('held')}
       FROM held
       ${namedCopy('held')}
       ${holderJoins('held')}
       CROSS JOIN LATERAL (
         SELECT max(known.until) AS until, coalesce(bool_or(known.until IS NULL OR known.until > $2), false) AS is_excused
           FROM key_exception x CROSS JOIN LATERAL (SELECT ${knownEnd('x.ended_at', 'x.end_recorded_at', '$3')} AS until) known
          WHERE x.tenant_id = $1 AND (x.site_id = holder_site.id OR x.person_id = held.person_id)
            AND x.started_at <= $2 AND (known.until IS NULL OR known.until > held.held_from) AND x.granted_at <= $3) excused
       LEFT JOIN LATERAL (
         -- The first one since the stay began: a breach is due a day after it was recorded, and nothing is recorded before it happened.
         SELECT ec.breach_due_at
           FROM custody_event_copy ec JOIN custody_event e ON e.tenant_id = $1 AND e.id = ec.event_id
          WHERE ec.tenant_id = $1 AND ec.key_copy_id = held.key_copy_id AND ec.breach_due_at >= held.held_from + interval '24 hours'
            AND e.happened_at >= held.held_from AND e.happened_at <= $2 AND e.recorded_at <= $3
            AND NOT EXISTS (SELECT FROM custody_event_copy newer JOIN custody_event correction ON correction.tenant_id = $1 AND correction.id = newer.event_id
                             WHERE newer.tenant_id = $1 AND newer.corrects_id = ec.event_id AND newer.key_copy_id = ec.key_copy_id AND correction.recorded_at <= $3)
          ORDER BY ec.breach_due_at LIMIT 1) told ON true
      WHERE NOT excused.is_excused
      ORDER BY 5, copy.number`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}

export type UnacknowledgedRow = {
  event_id: string;
  says: KeyAttention['unacknowledged'][number]['kind'];
  happened_at: Date;
  acknowledge_by: Date;
  denied_by: KeyAttention['unacknowledged'][number]['deniedBy'];
  numbers: string[];
} & HolderNames<'from'> &
  HolderNames<'to'>;

/** What was given and not confirmed by who received it, or denied by who gave it. A correction takes the place of the event it names. */
export async function selectUnacknowledged(tx: TenantTransaction, query: Moment): Promise<UnacknowledgedRow[]> {
  // Unconfirmed by then, as known by then: a correction is looked for by what was known, whenever it was.
  const open =
    query.asOf === 'now'
      ? 'confirmed_at IS NULL AND superseded_at IS NULL'
      : `happened_at <= $2 AND recorded_at <= $3 AND CASE WHEN confirmed_at IS NULL THEN 'infinity'::timestamptz ELSE confirmed_at END > least($2::timestamptz, $3::timestamptz)
         AND (superseded_at IS NULL OR superseded_at > $3)`;
  const { rows } = await tx.sql<UnacknowledgedRow>(
    `WITH waiting AS MATERIALIZED (SELECT event_id FROM custody_confirmation WHERE tenant_id = $1 AND side = 'receiver' AND ${open}
       UNION SELECT event_id FROM custody_confirmation c WHERE tenant_id = $1 AND side = 'giver' AND ${open}
         AND EXISTS (SELECT FROM custody_denial d WHERE d.tenant_id = $1 AND d.event_id = c.event_id AND d.side = 'giver' AND d.denied_at <= $3)),
     e AS (SELECT event.* FROM waiting CROSS JOIN LATERAL (SELECT * FROM custody_event WHERE tenant_id = $1 AND id = waiting.event_id OFFSET 0) event)
     SELECT e.id AS event_id, e.says, e.happened_at, e.acknowledge_by, given.numbers,
            coalesce((SELECT jsonb_agg(jsonb_build_object('side', d.side, 'how', d.how) ORDER BY d.side) FROM custody_denial d JOIN custody_confirmation k ON k.tenant_id = $1 AND k.event_id = d.event_id AND k.side = d.side AND (k.confirmed_at IS NULL OR k.confirmed_at > least($2::timestamptz, $3::timestamptz))
                   WHERE d.tenant_id = $1 AND d.event_id = e.id AND d.denied_at <= $3), '[]') AS denied_by, ${sideNames}
       FROM e
       CROSS JOIN LATERAL (
         SELECT array_agg(copy.number ORDER BY copy.number) AS numbers
           FROM custody_event_copy ec JOIN key_copy copy ON copy.tenant_id = $1 AND copy.id = ec.key_copy_id
          WHERE ec.tenant_id = $1 AND ec.event_id = e.id
            AND NOT EXISTS (SELECT FROM custody_event_copy newer JOIN custody_event correction ON correction.tenant_id = $1 AND correction.id = newer.event_id
                             WHERE newer.tenant_id = $1 AND newer.corrects_id = e.id AND newer.key_copy_id = ec.key_copy_id AND correction.recorded_at <= $3)) given
       ${sideJoins}
      WHERE given.numbers IS NOT NULL AND $2::timestamptz IS NOT NULL
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
      WHERE c.tenant_id = $1 AND c.started_at <= $2 AND coalesce(${knownEnd('c.ended_at', 'c.end_recorded_at', '$3')}, 'infinity') > $2 AND c.recorded_at <= $3
        AND (EXISTS (SELECT FROM identity.members() m WHERE m.person_id = p.id AND m.role = 'collector')
          OR EXISTS (SELECT FROM collection v
                      WHERE v.tenant_id = $1 AND (v.discarded_at IS NULL OR v.discarded_at > $3) AND v.collected_by = p.id AND v.recorded_at <= $3
                        AND v.happened_at <= $2 AND v.happened_at >= greatest(c.started_at, $2::timestamptz - interval '3 months')))
      ORDER BY s.code`,
    [tx.tenantId, query.at, query.knownAt],
  );
  return rows;
}
