import type { TenantTransaction } from '#database/tenant';
import { emptiedAt } from '../collection/uncounted.sql';
import { meteredApart } from '../collection/metered.sql';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { isOwnWord } from '../outage/own-word.sql';

export type LeftOutFor = 'break-in' | 'outage';

export type CountedRow = {
  collection_id: string;
  site_id: string;
  placement_id: string;
  machine_id: string;
  currency: CurrencyCode;
  happened_at: Date;
  local_date: LocalDate;
  accounting_date: LocalDate;
  coin_minor: bigint;
  note_minor: bigint;
  /** What was typed for a machine whose meters are not recorded. */
  metered_minor: bigint | null;
};

/** Plays tell of cash on a board that has no meter of it, but for those with which somebody tested the machine. */
const tellsOfCash = `(k.tender IN ('coin', 'note') OR (k.tender = 'plays'
         AND NOT EXISTS (SELECT FROM meter cash WHERE cash.tenant_id = $1 AND cash.board_id = k.board_id AND cash.tender IN ('coin', 'note'))
         AND NOT EXISTS (SELECT FROM meter test
                           JOIN meter_reading t ON t.tenant_id = $1 AND t.meter_id = test.id AND t.happened_at = r.happened_at
                           JOIN meter_reading t_later ON t_later.tenant_id = $1 AND t_later.meter_id = test.id AND t_later.happened_at = later.happened_at
                          WHERE test.tenant_id = $1 AND test.board_id = k.board_id AND test.tender = 'test-plays' AND t_later.value - t.value = later.value - r.value
                            AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id IN (t.id, t_later.id)))))`;

/** Whether a meter that tells of cash moved within an outage `o`, as far as it was read in it or at its ends. */
const movedDuring = `EXISTS (SELECT FROM meter_reading r
       JOIN meter k ON k.tenant_id = $1 AND k.id = r.meter_id
       JOIN meter_reading later ON later.tenant_id = $1 AND later.meter_id = r.meter_id AND later.happened_at > r.happened_at AND (o.ended_at IS NULL OR later.happened_at <= o.ended_at) AND later.value <> r.value
      WHERE r.tenant_id = $1 AND r.machine_id = o.machine_id AND r.happened_at >= o.started_at AND r.value IS NOT NULL AND ${tellsOfCash}
        AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id IN (r.id, later.id)))`;

/** The boxes of some accepted collections, their parts together, as they stand. House coin and bad coin are no takings, but the machine took them and its meters have them. */
export async function selectCounted(tx: TenantTransaction, collectionIds: readonly string[]): Promise<CountedRow[]> {
  const { rows } = await tx.sql<CountedRow>(
    `SELECT box.*, coalesce(box.counted_metered_minor, ${meteredApart('box')}) AS metered_minor
       FROM (
         SELECT c.id AS collection_id, c.site_id, b.placement_id, b.machine_id, c.currency, c.happened_at, c.local_date, c.accounting_date,
                sum(b.coin_minor + b.house_coin_minor + b.bad_coin_minor)::bigint AS coin_minor, sum(b.note_minor)::bigint AS note_minor, sum(b.metered_minor)::bigint AS counted_metered_minor
           FROM collection c
           JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = c.id
          WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[]) AND c.state = 'accepted'
            AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)
          GROUP BY c.id, c.site_id, b.placement_id, b.machine_id, c.currency, c.happened_at, c.local_date, c.accounting_date) box`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}

/** A box, and from when on it is compared where that is before the emptying before it; null where it is since that. */
export type ComparedSpan = { readonly collectionId: string; readonly placementId: string; readonly since: Date | null };

/**
 * What explains the time over which boxes are compared, by place in the list from 1: a break-in, or an outage of more than half of it. Not one
 * during which meters of cash moved: a machine that takes money works. Nor one that is only the word of somebody who had a hand in one of the counts.
 */
export async function selectLeftOut(tx: TenantTransaction, spans: readonly ComparedSpan[]): Promise<ReadonlyMap<number, LeftOutFor>> {
  const { rows } = await tx.sql<{ place: number; left_out_for: LeftOutFor | null }>(
    `SELECT n.place::int AS place,
            CASE WHEN EXISTS (
                   SELECT FROM break_in k
                    WHERE k.tenant_id = $1 AND k.placement_id = n.placement_id AND k.happened_on <= box.local_date AND k.amount_minor > 0
                      AND NOT EXISTS (SELECT FROM break_in newer WHERE newer.tenant_id = k.tenant_id AND newer.replaces_id = k.id)
                      AND NOT EXISTS (SELECT FROM box_count b JOIN collection c ON c.tenant_id = b.tenant_id AND c.id = b.collection_id
                                       WHERE b.tenant_id = $1 AND b.placement_id = k.placement_id AND c.state <> 'discarded' AND c.happened_at < box.happened_at AND (n.since_at IS NULL OR c.happened_at <= n.since_at)
                                         AND c.local_date > k.happened_on)) THEN 'break-in'
                 WHEN EXISTS (SELECT FROM outage o WHERE o.tenant_id = $1 AND o.machine_id = p.machine_id AND o.started_at < box.happened_at AND o.taken_back_at IS NULL) AND (
                   SELECT 2 * sum(least(coalesce(o.ended_at, box.happened_at), box.happened_at) - greatest(o.started_at, span.since)) > box.happened_at - min(span.since)
                     FROM (SELECT greatest(placed.at, least(n.since_at, coalesce((SELECT max(c.happened_at) FROM box_count b JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id
                                                                                   WHERE b.tenant_id = $1 AND b.placement_id = n.placement_id AND c.state <> 'discarded' AND c.happened_at < box.happened_at), placed.at))) AS since
                             FROM (SELECT p.placed_on::timestamp AT TIME ZONE s.time_zone AS at FROM site s WHERE s.tenant_id = $1 AND s.id = p.site_id) placed) span
                     JOIN outage o ON o.tenant_id = $1 AND o.machine_id = p.machine_id AND o.started_at < box.happened_at AND (o.ended_at IS NULL OR o.ended_at > span.since) AND o.taken_back_at IS NULL
                      AND NOT ${isOwnWord(`SELECT c.id FROM box_count b JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id
                                            WHERE b.tenant_id = $1 AND b.placement_id = n.placement_id AND c.state <> 'discarded' AND c.happened_at > span.since AND c.happened_at <= box.happened_at`)}
                      AND NOT (${movedDuring}))
                 THEN 'outage' END AS left_out_for
       FROM unnest($2::uuid[], $3::uuid[], $4::timestamptz[]) WITH ORDINALITY AS n (collection_id, placement_id, since_at, place)
       JOIN collection box ON box.tenant_id = $1 AND box.id = n.collection_id
       JOIN placement p ON p.tenant_id = $1 AND p.id = n.placement_id`,
    [tx.tenantId, spans.map(({ collectionId }) => collectionId), spans.map(({ placementId }) => placementId), spans.map(({ since }) => since)],
  );
  return new Map(rows.flatMap(({ place, left_out_for: leftOutFor }) => (leftOutFor === null ? [] : [[place, leftOutFor] as const])));
}

/** A machine's box as it was emptied, its parts together. */
export type EmptiedRow = { machine_id: string; placement_id: string; happened_at: Date; coin_minor: bigint; note_minor: bigint };

/** Accepted emptyings of machines, from a moment on, oldest first. */
export async function selectEmptied(tx: TenantTransaction, { machineIds, from }: { readonly machineIds: readonly string[]; readonly from: Date }): Promise<EmptiedRow[]> {
  const { rows } = await tx.sql<EmptiedRow>(
    `SELECT b.machine_id, b.placement_id, c.happened_at, sum(b.coin_minor + b.house_coin_minor + b.bad_coin_minor)::bigint AS coin_minor, sum(b.note_minor)::bigint AS note_minor
       FROM placement p
       JOIN box_count b ON b.tenant_id = $1 AND b.placement_id = p.id
       JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id AND c.state = 'accepted' AND c.happened_at >= $3
      WHERE p.tenant_id = $1 AND p.machine_id = ANY ($2::uuid[])
        AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)
      GROUP BY b.machine_id, b.placement_id, c.happened_at ORDER BY b.machine_id, c.happened_at`,
    [tx.tenantId, machineIds, from],
  );
  return rows;
}

export type WaitingEmptying = { machine_id: string; happened_at: Date };

/** Emptyings of machines, from a moment on, that are neither accepted nor discarded: what was in the box is not known yet. */
export async function selectWaitingEmptyings(tx: TenantTransaction, { machineIds, from }: { readonly machineIds: readonly string[]; readonly from: Date }): Promise<WaitingEmptying[]> {
  const { rows } = await tx.sql<WaitingEmptying>(
    `SELECT emptied.machine_id, c.happened_at
       FROM collection c CROSS JOIN LATERAL (${emptiedAt('c')}) emptied
      WHERE c.tenant_id = $1 AND c.state IN ('open', 'counted') AND c.happened_at >= $3 AND emptied.machine_id = ANY ($2::uuid[])
        AND c.site_id IN (SELECT p.site_id FROM placement p WHERE p.tenant_id = $1 AND p.machine_id = ANY ($2::uuid[]))
      ORDER BY emptied.machine_id, c.happened_at`,
    [tx.tenantId, machineIds, from],
  );
  return rows;
}

/** Of some moments those, by place in the list from 1, before which the machine was emptied at the same placement, but not at them: meters began amid a full box. */
export async function selectBegunAmid(tx: TenantTransaction, moments: readonly { readonly machineId: string; readonly placementId: string; readonly at: Date }[]): Promise<ReadonlySet<number>> {
  const { rows } = await tx.sql<{ place: number }>(
    `SELECT n.place::int AS place FROM unnest($2::uuid[], $3::uuid[], $4::timestamptz[]) WITH ORDINALITY AS n (machine_id, placement_id, at, place)
      WHERE NOT EXISTS (SELECT FROM meter_reading r WHERE r.tenant_id = $1 AND r.machine_id = n.machine_id AND r.happened_at = n.at AND r.collection_id IS NOT NULL AND r.value IS NOT NULL AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id = r.id))
        AND EXISTS (SELECT FROM box_count b JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id
                     WHERE b.tenant_id = $1 AND b.placement_id = n.placement_id AND c.happened_at < n.at AND c.state <> 'discarded')`,
    [tx.tenantId, moments.map(({ machineId }) => machineId), moments.map(({ placementId }) => placementId), moments.map(({ at }) => at)],
  );
  return new Set(rows.map((row) => row.place));
}
