/**
 * SQL: the ids, as `id`, of the collections whose counts are compared as one with that of a box: its own, and where a reading was missed all since the
 * reading before. `collection`: the alias of its row. To be joined: as a
 * condition it would be asked of every collection. Names the tenant `$1`.
 */
export const comparedTogether = ({ collection, placementId }: { readonly collection: string; readonly placementId: string }): string => `
  SELECT ${collection}.id UNION SELECT part.id
    FROM (SELECT min(v.since_at) AS at FROM cash_variance v WHERE v.tenant_id = $1 AND v.collection_id = ${collection}.id AND v.placement_id = ${placementId} AND v.stands AND v.counts > 1) since
    JOIN box_count part_box ON part_box.tenant_id = $1 AND part_box.placement_id = ${placementId}
    JOIN collection part ON part.tenant_id = $1 AND part.id = part_box.collection_id AND part.state = 'accepted' AND part.happened_at > since.at AND part.happened_at < ${collection}.happened_at`;

/** SQL: whether a variance is in a sum of differences: meters say what was expected, and no break-in and no outage explains the rest. */
export const isCompared = (v: string): string => `NOT (${v}.left_out OR ${v}.expected_minor IS NULL)`;
