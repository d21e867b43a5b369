import type { CollectionKeyCheck } from '#contracts/collection-key';
import type { TenantTransaction } from '#database/tenant';
import { emptiedBy } from '../collection/emptied.sql';
import { keepers, keptAt } from '../key-question/keepers.sql';
import { theEnd, theHolder } from '../key-question/whereabouts.sql';

export type ChecksFilter = {
  readonly collectionId?: string;
  /** For lists: collections with a finding alone, the latest first. */
  readonly findings?: {
    readonly siteId: string | null;
    readonly personId: string | null;
    readonly from: string;
    readonly before: string | null;
    readonly after: readonly [happenedAt: string, id: string] | null;
    /** `null`: all. */
    readonly limit: number | null;
  };
};

export type CheckRow = {
  id: string;
  site_id: string;
  site_code: string;
  site_name: string;
  time_zone: string;
  happened_at: Date;
  holder_id: string | null;
  boxes_exchanged: boolean;
  result: CollectionKeyCheck['result'];
  machines: CollectionKeyCheck['machines'];
};

/**
 * The keys at hand of who emptied the boxes, at the moment of the visit and as the books know it now, against the locks
 * that were then on the boxes. A custodian has the keys of the store at hand. Asked of the tables each time: a stored
 * answer would be wrong after the next correction of custody.
 */
export async function selectChecks(tx: TenantTransaction, { collectionId, findings }: ChecksFilter): Promise<CheckRow[]> {
  const [happenedAt, id] = findings?.after ?? [null, null];
  const { rows } = await tx.sql<CheckRow>(
    `WITH picked AS (
       SELECT c.id, c.site_id, c.happened_at, coalesce(named.boxes_exchanged, false) AS boxes_exchanged,
              CASE WHEN named.id IS NULL THEN c.collected_by ELSE named.person_id END AS holder_id
         FROM collection c
         LEFT JOIN LATERAL (
           SELECT n.id, n.person_id, n.boxes_exchanged FROM collection_key_holder n
            WHERE n.tenant_id = $1 AND n.collection_id = c.id ORDER BY n.recorded_at DESC, n.id DESC LIMIT 1) named ON true
        WHERE c.tenant_id = $1 AND (c.id = $2 OR ($2::uuid IS NULL AND c.state <> 'discarded')) AND ($3::date IS NULL OR c.local_date >= $3) AND ($4::date IS NULL OR c.local_date < $4)
          AND ($5::uuid IS NULL OR c.site_id = $5) AND ($6::timestamptz IS NULL OR (c.happened_at, c.id) < ($6, $7::uuid))),
     at_hand AS (
       SELECT picked.id, array_agg(DISTINCT held.key_code_id) AS codes
         FROM picked
         CROSS JOIN LATERAL (
           SELECT picked.holder_id AS id
            UNION ALL SELECT k.holder_id FROM ${keepers} k WHERE k.person_id = picked.holder_id AND ${keptAt('k', 'picked.happened_at')}) holder
         CROSS JOIN LATERAL (
           SELECT c.key_code_id FROM custody c
            WHERE c.tenant_id = $1 AND ${theHolder('c')} = holder.id AND c.held_from <= picked.happened_at
              AND ${theEnd('c')} > picked.happened_at AND c.known_to IS NULL OFFSET 0) held
        GROUP BY picked.id),
     box AS (SELECT DISTINCT b.collection_id, b.machine_id FROM picked JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = picked.id),
     machine_check AS (
       SELECT box.collection_id, box.machine_id, m.tag,
              array_remove(array_agg(k.code ORDER BY k.code), NULL) AS codes,
              array_remove(array_agg(CASE WHEN l.key_code_id = ANY (at_hand.codes) THEN NULL ELSE k.code END ORDER BY k.code), NULL) AS lacking
         FROM box
         JOIN picked ON picked.id = box.collection_id
         JOIN machine m ON m.tenant_id = $1 AND m.id = box.machine_id
         LEFT JOIN at_hand ON at_hand.id = box.collection_id
         LEFT JOIN machine_lock l ON l.tenant_id = $1 AND l.machine_id = box.machine_id AND l.class = 'cash-box'
                                 AND l.fitted_at <= picked.happened_at AND coalesce(l.removed_at, 'infinity') > picked.happened_at
         LEFT JOIN key_code k ON k.tenant_id = $1 AND k.id = l.key_code_id
        GROUP BY box.collection_id, box.machine_id, m.tag),
     checked AS (
       SELECT picked.id, picked.site_id, picked.happened_at, picked.holder_id, picked.boxes_exchanged,
              CASE WHEN picked.boxes_exchanged THEN 'not-needed'
                   WHEN bool_or(cardinality(check_of.codes) > 0) AND picked.holder_id IS NULL THEN 'no-key-holder'
                   WHEN bool_or(cardinality(check_of.lacking) > 0) THEN 'key-holder-without-key'
                   WHEN bool_and(cardinality(check_of.codes) > 0) THEN 'fitting-key'
                   ELSE 'not-known' END AS result,
              coalesce(jsonb_agg(jsonb_build_object('machineId', check_of.machine_id, 'machineTag', check_of.tag, 'codes', check_of.codes, 'lacking', check_of.lacking)
                                 ORDER BY check_of.tag) FILTER (WHERE check_of.machine_id IS NOT NULL), '[]') AS machines
         FROM picked LEFT JOIN machine_check check_of ON check_of.collection_id = picked.id
        GROUP BY picked.id, picked.site_id, picked.happened_at, picked.holder_id, picked.boxes_exchanged)
     SELECT checked.*, s.code AS site_code, s.name AS site_name, s.time_zone
       FROM checked JOIN site s ON s.tenant_id = $1 AND s.id = checked.site_id
      WHERE ($8::uuid IS NULL OR checked.holder_id = $8) AND (NOT $9::boolean OR checked.result IN ('key-holder-without-key', 'no-key-holder'))
      ORDER BY checked.happened_at DESC, checked.id DESC LIMIT $10`,
    [
      tx.tenantId,
      collectionId ?? null,
      findings?.from ?? null,
      findings?.before ?? null,
      findings?.siteId ?? null,
      happenedAt,
      id,
      findings?.personId ?? null,
      findings !== undefined,
      findings?.limit ?? null,
    ],
  );
  return rows;
}

export type CountedRow = { happened_at: Date; previous_at: Date | null; since_at: Date | null };

/** When a collection emptied a machine, when an earlier one last did, and from when on its count is compared: earlier where a reading was missed. */
export async function selectEmptied(tx: TenantTransaction, query: { collectionId: string; machineId: string }): Promise<CountedRow | null> {
  const { rows } = await tx.sql<CountedRow>(
    `SELECT visit.happened_at,
            (SELECT max(earlier.happened_at) FROM placement p CROSS JOIN LATERAL (SELECT c.happened_at ${emptiedBy('p')}) earlier
              WHERE p.tenant_id = $1 AND p.machine_id = $3 AND earlier.happened_at < visit.happened_at) AS previous_at,
            (SELECT min(v.since_at) FROM cash_variance v WHERE v.tenant_id = $1 AND v.collection_id = visit.id AND v.machine_id = $3 AND v.stands) AS since_at
       FROM collection visit
      WHERE visit.tenant_id = $1 AND visit.id = $2
        AND EXISTS (SELECT FROM placement p CROSS JOIN LATERAL (SELECT c.id ${emptiedBy('p')}) took WHERE p.tenant_id = $1 AND p.machine_id = $3 AND took.id = visit.id)`,
    [tx.tenantId, query.collectionId, query.machineId],
  );
  return rows[0] ?? null;
}
