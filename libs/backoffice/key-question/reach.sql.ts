import type { KeyReach } from '#contracts/key-reach';
import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import { baggedOf } from '../collection/emptied.sql';
import type { Moment } from './moment';
import { custodyAt, holderColumns, holderJoins, knownEnd, type HolderRow } from './whereabouts.sql';

export type ReachedLockRow = {
  lock_id: string;
  key_code_id: string;
  code: string;
  place: string;
  opens: KeyReach['machines'][number]['locks'][number]['opens'];
  fitted_at: Date;
  machine_id: string;
  machine_tag: string;
  placement_id: string | null;
  site_id: string | null;
  site_code: string | null;
  site_name: string | null;
  currency: CurrencyCode | null;
};

/** Locks that take these cuts at a moment, with the site at which their machine then stood. */
export async function selectReachedLocks(tx: TenantTransaction, query: Moment & { keyCodeIds: readonly string[] }): Promise<ReachedLockRow[]> {
  const { rows } = await tx.sql<ReachedLockRow>(
    `SELECT l.id AS lock_id, l.key_code_id, k.code, l.place, l.opens, l.fitted_at, l.machine_id, m.tag AS machine_tag,
            here.placement_id, here.site_id, here.site_code, here.site_name, here.currency
       FROM machine_lock l
       JOIN key_code k ON k.tenant_id = $1 AND k.id = l.key_code_id
       JOIN machine m ON m.tenant_id = $1 AND m.id = l.machine_id
       LEFT JOIN LATERAL (
         SELECT p.id AS placement_id, s.id AS site_id, s.code AS site_code, s.name AS site_name, s.currency
           FROM placement p JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
          WHERE p.tenant_id = $1 AND p.machine_id = l.machine_id
            AND p.placed_on <= ($3::timestamptz AT TIME ZONE s.time_zone)::date
            AND (p.removed_on IS NULL OR p.removed_on > ($3::timestamptz AT TIME ZONE s.time_zone)::date)
          ORDER BY p.placed_on DESC LIMIT 1) here ON true
      WHERE l.tenant_id = $1 AND l.key_code_id = ANY ($2::uuid[]) AND l.fitted_at <= $3 AND l.recorded_at <= $4
        AND coalesce(${knownEnd('l.removed_at', 'l.removal_recorded_at', '$4')}, 'infinity') > $3
      ORDER BY m.tag, l.place`,
    [tx.tenantId, query.keyCodeIds, query.at, query.knownAt],
  );
  return rows;
}

export type LatelyTakenRow = { placement_id: string; taken_minor: bigint; days: number; days_since: number; last_collected_on: string };

/**
 * What was counted lately at each placement: from the last count that is a quarter of a year older than the latest (or
 * from the day the machine was placed) up to the latest. Whoever counts empties the box, so counts that wait for
 * acceptance are among them. A box that was bagged and waits for the counting room is empty since, too, but says nothing yet
 * of how fast it fills.
 */
export async function selectLatelyTaken(tx: TenantTransaction, query: Moment & { placementIds: readonly string[] }): Promise<LatelyTakenRow[]> {
  const { rows } = await tx.sql<LatelyTakenRow>(
    `WITH visit AS (
       SELECT b.placement_id, c.local_date AS day, sum(b.coin_minor + b.note_minor) AS minor
         FROM box_count b JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id
        WHERE b.tenant_id = $1 AND b.placement_id = ANY ($2::uuid[]) AND c.happened_at <= $3 AND b.recorded_at <= $4 AND (c.discarded_at IS NULL OR c.discarded_at > $4)
          AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id AND newer.recorded_at <= $4)
        GROUP BY b.placement_id, c.local_date),
     latest AS (SELECT placement_id, max(day) AS day FROM visit GROUP BY placement_id),
     span AS (
       SELECT p.id AS placement_id, p.site_id, latest.day AS until,
              coalesce((SELECT max(v.day) FROM visit v WHERE v.placement_id = p.id AND v.day <= latest.day - 91), p.placed_on) AS since
         FROM latest JOIN placement p ON p.tenant_id = $1 AND p.id = latest.placement_id)
     SELECT span.placement_id, emptied.day AS last_collected_on, span.until - span.since AS days,
            ($3::timestamptz AT TIME ZONE s.time_zone)::date - emptied.day AS days_since,
            coalesce((SELECT sum(v.minor) FROM visit v WHERE v.placement_id = span.placement_id AND v.day > span.since), 0)::bigint AS taken_minor
       FROM span JOIN site s ON s.tenant_id = $1 AND s.id = span.site_id
       JOIN placement p ON p.tenant_id = $1 AND p.id = span.placement_id
       CROSS JOIN LATERAL (
         SELECT greatest(span.until, max(c.local_date)) AS day ${baggedOf('p', '$4')} AND c.happened_at <= $3) emptied`,
    [tx.tenantId, query.placementIds, query.at, query.knownAt],
  );
  return rows;
}

export type CopyRow = HolderRow & { key_copy_id: string; number: string; key_code_id: string; code: string };

/** Copies of these cuts that there were at a moment, and where. */
export async function selectCopies(tx: TenantTransaction, query: Moment & { keyCodeIds: readonly string[] }): Promise<CopyRow[]> {
  const { rows } = await tx.sql<CopyRow>(
    `SELECT copy.id AS key_copy_id, copy.number, copy.key_code_id, k.code, ${holderColumns('held')}
       FROM key_copy copy
       JOIN key_code k ON k.tenant_id = $1 AND k.id = copy.key_code_id
       CROSS JOIN LATERAL (${custodyAt('copy', '$3', '$4')}) held
       ${holderJoins('held')}
      WHERE copy.tenant_id = $1 AND copy.key_code_id = ANY ($2::uuid[]) AND held.state <> 'destroyed'
      ORDER BY copy.number`,
    [tx.tenantId, query.keyCodeIds, query.at, query.knownAt],
  );
  return rows;
}

export type CodeRow = KeyReach['codes'][number];

export async function selectCodes(tx: TenantTransaction, keyCodeIds: readonly string[]): Promise<CodeRow[]> {
  const { rows } = await tx.sql<CodeRow>(
    `SELECT id AS "keyCodeId", code, class, outside_copies AS "outsideCopies" FROM key_code WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) ORDER BY code`,
    [tx.tenantId, keyCodeIds],
  );
  return rows;
}
