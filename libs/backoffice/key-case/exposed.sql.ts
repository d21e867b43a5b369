import type { ExposedCollection } from '#contracts/key-case';
import type { TenantTransaction } from '#database/tenant';
import { emptiedBy } from '../collection/emptied.sql';

export type ExposedQuery = {
  readonly collectionId?: string;
  readonly keyCaseId?: string | undefined;
  readonly siteId?: string | undefined;
  readonly page?: { readonly after: readonly [happenedAt: string, id: string, keyCaseId: string] | null; readonly limit: number };
};

export type ExposedRow = {
  collection_id: string;
  site_id: string;
  site_code: string;
  site_name: string;
  happened_at: Date;
  key_case_id: string;
  code: string;
  machines: ExposedCollection['machines'];
};

/**
 * Collections of boxes that a lost key opened: from the last moment at which the key was surely held until the lock was
 * changed, or until the owner ended the case. The first collection after that counts money that lay there before. Asked
 * of the tables each time, so that what is recorded late is heard.
 */
export async function selectExposed(tx: TenantTransaction, query: ExposedQuery): Promise<ExposedRow[]> {
  const [happenedAt, id, keyCaseId] = query.page?.after ?? [null, null, null];
  const { rows } = await tx.sql<ExposedRow>(
    `WITH exposure AS (
       SELECT c.id AS key_case_id, k.code, l.machine_id, greatest(c.surely_held_until, l.fitted_at) AS since,
              least(l.removed_at, CASE WHEN c.state = 'ended' THEN c.closed_at END) AS until
         FROM key_case c
         JOIN key_code k ON k.tenant_id = $1 AND k.id = c.key_code_id
         JOIN machine_lock l ON l.tenant_id = $1 AND l.key_code_id = c.key_code_id AND (l.removed_at IS NULL OR l.removed_at > c.surely_held_until)
                            AND (c.closed_at IS NULL OR l.fitted_at < c.closed_at)
        WHERE c.tenant_id = $1 AND c.class = 'cash-box' AND ($3::uuid IS NULL OR c.id = $3)
          AND ($2::uuid IS NULL OR l.machine_id IN (SELECT b.machine_id FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = $2
                                                     UNION ALL SELECT p.machine_id FROM placement p JOIN collection bagged ON bagged.tenant_id = $1 AND bagged.site_id = p.site_id
                                                                WHERE p.tenant_id = $1 AND bagged.id = $2 AND bagged.bagged))),
     emptied AS (
       SELECT DISTINCT e.key_case_id, e.code, e.machine_id, e.until, c.id AS collection_id, c.site_id, c.happened_at
         FROM exposure e
         JOIN placement p ON p.tenant_id = $1 AND p.machine_id = e.machine_id
         CROSS JOIN LATERAL (SELECT c.id ${emptiedBy('p')}) took
         JOIN collection c ON c.tenant_id = $1 AND c.id = took.id AND c.happened_at >= e.since
        WHERE ($2::uuid IS NULL OR c.id = $2) AND ($4::uuid IS NULL OR c.site_id = $4)),
     exposed AS (
       SELECT emptied.*, emptied.until IS NOT NULL AND emptied.happened_at >= emptied.until AS after_change
         FROM emptied
        WHERE emptied.until IS NULL OR emptied.happened_at < emptied.until
           OR NOT EXISTS (SELECT FROM placement p
                            CROSS JOIN LATERAL (SELECT c.happened_at ${emptiedBy('p')}) earlier
                           WHERE p.tenant_id = $1 AND p.machine_id = emptied.machine_id AND earlier.happened_at >= emptied.until AND earlier.happened_at < emptied.happened_at))
     SELECT x.collection_id, x.site_id, s.code AS site_code, s.name AS site_name, x.happened_at, x.key_case_id, x.code,
            jsonb_agg(jsonb_build_object('machineId', x.machine_id, 'machineTag', x.tag, 'when', CASE WHEN x.exposed THEN 'exposed' ELSE 'first-after' END) ORDER BY x.tag) AS machines
       FROM (SELECT exposed.collection_id, exposed.site_id, exposed.happened_at, exposed.key_case_id, exposed.code, exposed.machine_id, m.tag, bool_or(NOT exposed.after_change) AS exposed
               FROM exposed JOIN machine m ON m.tenant_id = $1 AND m.id = exposed.machine_id
              GROUP BY 1, 2, 3, 4, 5, 6, 7) x
       JOIN site s ON s.tenant_id = $1 AND s.id = x.site_id
      WHERE $5::timestamptz IS NULL OR (x.happened_at, x.collection_id, x.key_case_id) < ($5, $6::uuid, $7::uuid)
      GROUP BY x.collection_id, x.site_id, s.code, s.name, x.happened_at, x.key_case_id, x.code
      ORDER BY x.happened_at DESC, x.collection_id DESC, x.key_case_id DESC LIMIT $8`,
    [tx.tenantId, query.collectionId ?? null, query.keyCaseId ?? null, query.siteId ?? null, happenedAt, id, keyCaseId, query.page === undefined ? null : query.page.limit + 1],
  );
  return rows;
}
