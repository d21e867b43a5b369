/** `known`: a parameter with the moment as of which the books are asked; without it they are asked as they are now. */
type Known = string | undefined;

/**
 * Collections that took the cash of `placement` away in bags which the room has not counted yet, as SQL: of the table
 * `collection`, as `c`. A bag that names no machine may hold the cash of every machine of the site. Names the tenant `$1`.
 */
export function baggedOf(placement: string, known?: Known): string {
  return `FROM collection c
         WHERE c.tenant_id = $1 AND c.site_id = ${placement}.site_id AND c.bagged AND ${waits(known)}
           AND c.local_date >= ${placement}.placed_on AND (${placement}.removed_on IS NULL OR c.local_date <= ${placement}.removed_on)
           AND (NOT EXISTS (SELECT FROM collection_bag k WHERE k.tenant_id = $1 AND k.collection_id = c.id AND k.machine_id IS NOT NULL)
             OR EXISTS (SELECT FROM collection_bag k WHERE k.tenant_id = $1 AND k.collection_id = c.id AND (k.machine_id IS NULL OR k.machine_id = ${placement}.machine_id)))`;
}

/** Those, and the collections at which the box was counted. */
export function emptiedBy(placement: string, known?: Known): string {
  return `FROM (SELECT c.id, c.happened_at FROM box_count b JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id
                  WHERE b.tenant_id = $1 AND b.placement_id = ${placement}.id AND ${known === undefined ? `c.state <> 'discarded'` : `b.recorded_at <= ${known} AND ${notDiscarded(known)}`}
                 UNION ALL SELECT c.id, c.happened_at ${baggedOf(placement, known)}) c`;
}

const notDiscarded = (known: string): string => `(c.discarded_at IS NULL OR c.discarded_at > ${known})`;

/** What was counted or discarded only later was still waiting then. */
const waits = (known: Known): string =>
  known === undefined
    ? `c.state = 'open'`
    : `c.recorded_at <= ${known} AND ${notDiscarded(known)}
           AND (c.state = 'open' OR NOT EXISTS (SELECT FROM box_count counted WHERE counted.tenant_id = $1 AND counted.collection_id = c.id AND counted.recorded_at <= ${known}))`;
