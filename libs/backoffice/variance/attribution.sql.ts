import type { TenantTransaction } from '#database/tenant';
import type { HolderMachines, Intervals } from '#domain/variance/attribution';

type Days = { readonly from: string; readonly to: string; readonly notSites: readonly string[] };
type Row = { person_id: string | null; machines: number; held_short: number; held_all: number; every_short: number; every_all: number };

/**
 * Intervals between two emptyings of a box, or more where a reading was missed and they are compared together, short where a tender was out of tolerance below or two sigmas short, and who held
 * a key to a cash-box lock that was then fitted: in person, or as custodian of the store where it lay. An interval ends
 * with the emptying and does not begin with it: who brings the key back after emptying opened an empty box. Intervals
 * that a break-in or an outage explains, and those longer than 400 days, are left out.
 *
 * All spans of one person and cut go into one multirange, which answers by bisection; joined span by span, keys that many
 * locks share and that come and go daily would make hundreds of millions of pairs. The row without a person has all intervals.
 */
export async function selectHolderMachines(tx: TenantTransaction, { from, to, notSites }: Days): Promise<{ intervals: Intervals; holders: HolderMachines[] }> {
  const { rows } = await tx.sql<Row>(
    `WITH counted AS MATERIALIZED (
       SELECT v.machine_id, v.happened_at, bool_or(v.counted_minor < v.expected_minor AND (v.out_of_tolerance OR v.sigmas <= -2)) IS TRUE AS short, bool_or(v.left_out) AS left_out, min(v.since_at) AS since_at
         FROM cash_variance v
        WHERE v.tenant_id = $1 AND v.stands AND v.expected_minor IS NOT NULL AND v.accounting_date >= $2 AND v.accounting_date <= $3 AND v.site_id <> ALL ($4::uuid[])
        GROUP BY v.machine_id, v.happened_at),
     emptied AS (
       SELECT DISTINCT b.machine_id, c.happened_at
         FROM collection c JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = c.id
        WHERE c.tenant_id = $1 AND c.state <> 'discarded' AND c.happened_at >= (SELECT min(happened_at) FROM counted) - interval '400 days' AND c.happened_at <= (SELECT max(happened_at) FROM counted)),
     interval_of AS MATERIALIZED (
       SELECT counted.machine_id, least(span.since, counted.since_at) AS since, counted.happened_at, counted.short
         FROM counted
         JOIN (SELECT machine_id, happened_at, lag(happened_at) OVER (PARTITION BY machine_id ORDER BY happened_at) AS since FROM emptied) span USING (machine_id, happened_at)
        WHERE span.since IS NOT NULL AND NOT counted.left_out),
     stay AS (
       SELECT c.person_id, c.key_code_id, c.held_from, c.held_to
         FROM custody c WHERE c.tenant_id = $1 AND c.person_id IS NOT NULL AND c.known_to IS NULL
        UNION ALL
       SELECT k.person_id, c.key_code_id, greatest(c.held_from, k.started_at), least(c.held_to, k.ended_at)
         FROM key_custodian k JOIN custody c ON c.tenant_id = $1 AND c.store_id = k.key_store_id AND c.known_to IS NULL
        WHERE k.tenant_id = $1),
     holder AS MATERIALIZED (
       SELECT person_id, key_code_id, range_agg(tstzrange(held_from, held_to, '[)')) AS held
         FROM stay WHERE held_to IS NULL OR held_to > held_from GROUP BY person_id, key_code_id),
     locked AS (
       SELECT i.machine_id, i.happened_at, i.short, l.key_code_id, tstzrange(greatest(i.since, l.fitted_at), least(i.happened_at, l.removed_at), '(]') AS fitted
         FROM interval_of i
         JOIN machine_lock l ON l.tenant_id = $1 AND l.machine_id = i.machine_id AND l.class = 'cash-box' AND l.fitted_at < i.happened_at AND coalesce(l.removed_at, 'infinity') > i.since),
     held AS (SELECT DISTINCT h.person_id, l.machine_id, l.happened_at, l.short FROM locked l JOIN holder h ON h.key_code_id = l.key_code_id AND h.held && l.fitted),
     of_holder AS (SELECT person_id, machine_id, count(*)::int AS held_all, count(*) FILTER (WHERE short)::int AS held_short FROM held GROUP BY person_id, machine_id),
     of_machine AS (SELECT machine_id, count(*)::int AS every_all, count(*) FILTER (WHERE short)::int AS every_short FROM interval_of GROUP BY machine_id)
     SELECT h.person_id, count(*)::int AS machines, h.held_short, h.held_all, m.every_short, m.every_all
       FROM of_holder h JOIN of_machine m ON m.machine_id = h.machine_id
      GROUP BY h.person_id, h.held_short, h.held_all, m.every_short, m.every_all
      UNION ALL
     SELECT NULL, 1, 0, 0, count(*) FILTER (WHERE short)::int, count(*)::int FROM interval_of
      ORDER BY 1, 3, 4, 5, 6`,
    [tx.tenantId, from, to, notSites],
  );
  const every = rows.find((row) => row.person_id === null);
  return {
    intervals: { short: every?.every_short ?? 0, all: every?.every_all ?? 0 },
    holders: rows.flatMap(({ person_id: personId, ...row }) =>
      personId === null ? [] : [{ personId, machines: row.machines, held: { short: row.held_short, all: row.held_all }, every: { short: row.every_short, all: row.every_all } }],
    ),
  };
}

/** Says in the books, and by them in the audit trail, who looked at figures about people. */
export async function insertAttributionRead(tx: TenantTransaction, read: { readonly id: string; readonly from: string; readonly to: string; readonly people: number; readonly now: Date }): Promise<void> {
  await tx.sql('INSERT INTO variance_attribution_read (tenant_id, id, first_on, last_on, people_compared, read_at, read_by) VALUES ($1, $2, $3, $4, $5, $6, $7)', [
    tx.tenantId,
    read.id,
    read.from,
    read.to,
    read.people,
    read.now,
    tx.actor,
  ]);
}
