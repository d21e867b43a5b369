import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';

/** What one game took in one cabinet at one place; `game_id` is null for counts over a change of the game. */
export type EarnedRow = {
  readonly site_id: string;
  readonly site_code: string;
  readonly site_name: string;
  readonly machine_id: string;
  readonly machine_tag: string;
  readonly kind: string;
  readonly game_id: string | null;
  readonly game_code: string | null;
  readonly title: string | null;
  readonly days: number;
  readonly intervals: number;
  readonly takings_minor: bigint;
  readonly early_days: number;
  readonly early_minor: bigint;
  readonly mean_log: number;
  readonly mean_square_log: number;
};

/** A count looks back to the one before it; a box that was left longer than this says nothing of a day. */
const FURTHEST_BACK_DAYS = 190;

/**
 * Accepted counts with the days since the one before at the same placement, accepted or not (or since it was placed), with
 * card takings of these days. A day of which a count still waits says nothing yet. `minorPerUnit` is how many minor units make a whole one: the logarithm is of one plus whole units a day.
 */
export async function selectEarned(tx: TenantTransaction, query: { readonly from: string; readonly before: string; readonly currency: CurrencyCode; readonly minorPerUnit: number; readonly notSites: readonly string[] }): Promise<EarnedRow[]> {
  const { rows } = await tx.sql<EarnedRow>(
    `WITH counted AS (
       SELECT b.placement_id, b.machine_id, b.site_id, c.local_date, bool_or(b.removal) AS removal, bool_and(c.state = 'accepted') AS accepted, sum(b.coin_minor + b.note_minor) AS cash_minor
         FROM collection c
         JOIN box_count b ON b.tenant_id = c.tenant_id AND b.collection_id = c.id
          AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = b.tenant_id AND newer.replaces_id = b.id)
        WHERE c.tenant_id = $1 AND c.state <> 'discarded' AND c.currency = $4 AND c.site_id <> ALL ($6::uuid[]) AND c.local_date >= $2::date - ${FURTHEST_BACK_DAYS} AND c.local_date < $3::date
        GROUP BY b.placement_id, b.machine_id, b.site_id, c.local_date
     ), spans AS (
       SELECT n.*, coalesce(lag(n.local_date) OVER (PARTITION BY n.placement_id ORDER BY n.local_date), p.placed_on) AS since,
              n.local_date + CASE WHEN n.removal THEN 1 ELSE 0 END AS until
         FROM counted n JOIN placement p ON p.tenant_id = $1 AND p.id = n.placement_id
     ), taken AS (
       SELECT s.site_id, s.machine_id, s.until - s.since - out.days AS days, s.local_date < $2::date + ($3::date - $2::date) / 2 AS early,
              s.cash_minor + coalesce(card.minor, 0) AS minor, i.game_id
         FROM spans s
         CROSS JOIN LATERAL (
           -- Days at the site on which the machine was out of order all day long, each once.
           SELECT count(DISTINCT day)::int AS days
             FROM outage o
             JOIN site ON site.tenant_id = $1 AND site.id = s.site_id
             CROSS JOIN LATERAL generate_series(
               greatest(s.since, (o.started_at AT TIME ZONE site.time_zone)::date + CASE WHEN (o.started_at AT TIME ZONE site.time_zone)::time > time '00:00' THEN 1 ELSE 0 END)::timestamp,
               least(s.until, coalesce((o.ended_at AT TIME ZONE site.time_zone)::date, s.until))::timestamp - interval '1 day', interval '1 day') AS day
            WHERE o.tenant_id = $1 AND o.machine_id = s.machine_id AND o.taken_back_at IS NULL AND o.started_at < s.until + interval '2 days' AND (o.ended_at IS NULL OR o.ended_at > s.since - interval '2 days')) out
         LEFT JOIN LATERAL (
           SELECT sum(t.gross_minor - t.refunded_minor) AS minor FROM cashless_taking t
            WHERE t.tenant_id = $1 AND t.placement_id = s.placement_id AND t.local_date >= s.since AND t.local_date < s.until
              AND NOT EXISTS (SELECT FROM cashless_taking newer WHERE newer.tenant_id = t.tenant_id AND newer.replaces_id = t.id)) card ON true
         LEFT JOIN installation i ON i.tenant_id = $1 AND i.machine_id = s.machine_id AND i.installed_on <= s.since AND (i.removed_on IS NULL OR i.removed_on >= s.until)
        WHERE s.accepted AND s.local_date >= $2::date AND s.until - s.since > out.days AND s.until - s.since <= ${FURTHEST_BACK_DAYS}
     ), logged AS (
       SELECT t.*, ln(1 + greatest(t.minor, 0)::double precision / (t.days * $5::double precision)) AS log FROM taken t
     )
     SELECT l.site_id, site.code AS site_code, site.name AS site_name, l.machine_id, m.tag AS machine_tag, m.kind, l.game_id, g.code AS game_code, g.title,
            sum(l.days)::int AS days, count(*)::int AS intervals, sum(l.minor)::bigint AS takings_minor,
            coalesce(sum(l.days) FILTER (WHERE l.early), 0)::int AS early_days, coalesce(sum(l.minor) FILTER (WHERE l.early), 0)::bigint AS early_minor,
            sum(l.days * l.log) / sum(l.days) AS mean_log, sum(l.days * l.log * l.log) / sum(l.days) AS mean_square_log
       FROM logged l
       JOIN site ON site.tenant_id = $1 AND site.id = l.site_id
       JOIN machine m ON m.tenant_id = $1 AND m.id = l.machine_id
       LEFT JOIN game g ON g.tenant_id = $1 AND g.id = l.game_id
      GROUP BY l.site_id, site.code, site.name, l.machine_id, m.tag, m.kind, l.game_id, g.code, g.title
      ORDER BY site.code, m.tag, g.code`,
    [tx.tenantId, query.from, query.before, query.currency, query.minorPerUnit, query.notSites],
  );
  return rows;
}

export async function countOtherCurrencies(tx: TenantTransaction, query: { readonly from: string; readonly before: string; readonly currency: CurrencyCode }): Promise<number> {
  const { rows } = await tx.sql<{ found: number }>(
    `SELECT count(*)::int AS found FROM collection c JOIN box_count b ON b.tenant_id = c.tenant_id AND b.collection_id = c.id AND b.replaces_id IS NULL
      WHERE c.tenant_id = $1 AND c.state = 'accepted' AND c.currency <> $4 AND c.local_date >= $2 AND c.local_date < $3`,
    [tx.tenantId, query.from, query.before, query.currency],
  );
  return rows[0]?.found ?? 0;
}

/** Where each cabinet stands now and what is in it. */
export async function selectStanding(tx: TenantTransaction, currency: CurrencyCode): Promise<{ machine_id: string; site_id: string; game_id: string }[]> {
  const { rows } = await tx.sql<{ machine_id: string; site_id: string; game_id: string }>(
    `SELECT p.machine_id, p.site_id, i.game_id
       FROM placement p
       JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id AND s.currency = $2
       JOIN installation i ON i.tenant_id = p.tenant_id AND i.machine_id = p.machine_id AND i.removed_on IS NULL
      WHERE p.tenant_id = $1 AND p.removed_on IS NULL
      ORDER BY p.machine_id`,
    [tx.tenantId, currency],
  );
  return rows;
}
