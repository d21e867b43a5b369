import type { TenantTransaction } from '#database/tenant';
import { openAdvancesOf, type OpenAdvanceRow } from '../../advance/recoup.sql';
import { onAccountOf, type OnAccountRow } from '../../payment/set-off.sql';
import { bookedOn, isReversed, isSettled, stands, takenBack } from '../standing.sql';

/** A period that is to be settled, what surrounds it, and what may stand in the way. */
export type TargetRow = {
  readonly period_id: string;
  readonly agreement_id: string;
  readonly site_id: string;
  readonly site_code: string;
  readonly currency: string;
  readonly tax_area_id: string;
  readonly starts_on: string;
  readonly ends_before: string;
  readonly started_on: string;
  /** First day on which the agreement no longer holds. */
  readonly ended_on: string | null;
  /** Whether an earlier period's final settlement has its number. */
  readonly finally_settled: boolean;
  /** The period's own settlement, if there is one that was not reversed. */
  readonly settlement_id: string | null;
  readonly settlement_state: string | null;
  readonly settlement_revision: number | null;
  /** What the last numbered settlement before the period left behind, as stored. */
  readonly previous_carries: string | null;
  /** An earlier period whose settlement has no number yet. */
  readonly unnumbered_starts_on: string | null;
  /** An earlier day with accepted takings that no settlement has taken in. */
  readonly unsettled_on: string | null;
  /** An earlier period whose settlement was reversed and not made anew. */
  readonly reversed_starts_on: string | null;
  /** The period's own settlement was reversed and is to be made anew. */
  readonly is_reversed: boolean;
  /** A later period whose settlement has a number already. */
  readonly later_starts_on: string | null;
  /** A day of the period with takings that are counted and not accepted. */
  readonly unaccepted_on: string | null;
  /** Payments on account that no settlement has taken in. */
  readonly on_account: readonly OnAccountRow[];
  /** Advances given by the end of the period and not worked off whole, the oldest first, with what may be worked off of each. */
  readonly open_advances: readonly OpenAdvanceRow[];
};

/**
 * Takes the periods' locks, in one order everywhere so that two batches cannot wait for each other. Writers of counts hold
 * them FOR SHARE: whoever comes second sees what the first one did. READ COMMITTED, so what is read afterwards is new.
 */
export async function lockPeriods(tx: TenantTransaction, periodIds: readonly string[]): Promise<void> {
  await tx.sql('SELECT FROM period WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) ORDER BY id FOR UPDATE', [tx.tenantId, periodIds]);
}

/** In order of site code, which is the order in which people see them and numbers are given. */
export async function readTargets(tx: TenantTransaction, periodIds: readonly string[]): Promise<TargetRow[]> {
  const { rows } = await tx.sql<TargetRow>(
    `WITH taken_back AS MATERIALIZED (${takenBack}),
     reversed AS MATERIALIZED (
       SELECT x.agreement_id, x.starts_on FROM taken_back x
        WHERE NOT EXISTS (SELECT FROM settlement newer WHERE newer.tenant_id = x.tenant_id AND newer.agreement_id = x.agreement_id AND newer.starts_on = x.starts_on AND newer.round > x.round))
     SELECT p.id AS period_id, p.agreement_id, p.site_id, s.code AS site_code, s.currency, s.tax_area_id,
            p.starts_on, p.ends_before, a.started_on, a.ended_on,
            own.id AS settlement_id, own.state AS settlement_state, own.revision AS settlement_revision,
            EXISTS (SELECT FROM settlement x
                     WHERE x.tenant_id = p.tenant_id AND x.agreement_id = p.agreement_id AND x.starts_on < p.starts_on
                       AND x.kind <> 'regular' AND ${stands('x')}) AS finally_settled,
            previous.carries AS previous_carries,
            unnumbered.starts_on AS unnumbered_starts_on, unsettled.accounting_date AS unsettled_on,
            (SELECT min(reversed.starts_on) FROM reversed WHERE reversed.agreement_id = p.agreement_id AND reversed.starts_on < p.starts_on) AS reversed_starts_on,
            EXISTS (SELECT FROM reversed WHERE reversed.agreement_id = p.agreement_id AND reversed.starts_on = p.starts_on) AS is_reversed,
            later.starts_on AS later_starts_on, unaccepted.accounting_date AS unaccepted_on,
            ${onAccountOf('p')} AS on_account, ${openAdvancesOf('p', 'booked.day')} AS open_advances
       FROM period p
       JOIN agreement a ON a.tenant_id = p.tenant_id AND a.id = p.agreement_id
       JOIN site s ON s.tenant_id = p.tenant_id AND s.id = p.site_id
       CROSS JOIN LATERAL (SELECT ${bookedOn('p')} AS day) booked
       LEFT JOIN LATERAL (
         SELECT x.id, x.state, x.revision FROM settlement x
          WHERE x.tenant_id = p.tenant_id AND x.agreement_id = p.agreement_id AND x.starts_on = p.starts_on
            AND NOT ${isReversed('x')}
          ORDER BY x.round DESC LIMIT 1) own ON true
       LEFT JOIN LATERAL (
         SELECT x.carries, x.ends_before FROM settlement x
          WHERE x.tenant_id = p.tenant_id AND x.agreement_id = p.agreement_id AND x.starts_on < p.starts_on
            AND ${stands('x')}
          ORDER BY x.starts_on DESC, x.round DESC LIMIT 1) previous ON true
       LEFT JOIN LATERAL (
         SELECT x.starts_on FROM settlement x
          WHERE x.tenant_id = p.tenant_id AND x.agreement_id = p.agreement_id AND x.starts_on < p.starts_on
            AND x.state IN ('draft', 'reviewed')
          ORDER BY x.starts_on LIMIT 1) unnumbered ON true
       LEFT JOIN LATERAL (
         SELECT x.starts_on FROM settlement x
          WHERE x.tenant_id = p.tenant_id AND x.agreement_id = p.agreement_id AND x.starts_on > p.starts_on
            AND ${stands('x')}
          ORDER BY x.starts_on LIMIT 1) later ON true
       LEFT JOIN LATERAL (
         SELECT min(taken.accounting_date) AS accounting_date FROM (
           (SELECT c.accounting_date FROM collection c
             WHERE c.tenant_id = p.tenant_id AND c.site_id = p.site_id AND c.state = 'accepted'
               AND c.accounting_date >= coalesce(previous.ends_before, a.started_on) AND c.accounting_date < least(p.starts_on, a.ended_on)
             ORDER BY c.accounting_date LIMIT 1)
           UNION ALL
           (SELECT t.accounting_date FROM cashless_taking t
             WHERE t.tenant_id = p.tenant_id AND t.site_id = p.site_id
               AND t.accounting_date >= coalesce(previous.ends_before, a.started_on) AND t.accounting_date < least(p.starts_on, a.ended_on)
             ORDER BY t.accounting_date LIMIT 1)
           UNION ALL
           (SELECT b.accounting_date FROM break_in b
             WHERE b.tenant_id = p.tenant_id AND b.site_id = p.site_id
               AND b.accounting_date >= coalesce(previous.ends_before, a.started_on) AND b.accounting_date < least(p.starts_on, a.ended_on)
             ORDER BY b.accounting_date LIMIT 1)) AS taken) unsettled ON true
       LEFT JOIN LATERAL (
         SELECT c.accounting_date FROM collection c
          WHERE c.tenant_id = p.tenant_id AND c.site_id = p.site_id AND c.state = 'counted'
            AND c.accounting_date >= greatest(p.starts_on, a.started_on) AND c.accounting_date < least(p.ends_before, a.ended_on)
          ORDER BY c.accounting_date LIMIT 1) unaccepted ON true
      WHERE p.tenant_id = $1 AND p.id = ANY ($2::uuid[])
      ORDER BY s.code, p.id`,
    [tx.tenantId, periodIds],
  );
  return rows;
}

export type LateRow = {
  readonly agreement_id: string;
  readonly late_change_ids: readonly string[];
  /** Collections that came too late for their own period: what was handed out at them is set off now. */
  readonly collection_ids: readonly string[];
  /** Corrections of cash handed over that was set off already. */
  readonly handed_ids: readonly string[];
  /** Null where nothing changed that the figures of a period depend on. */
  readonly first_changed_on: string | null;
};

/**
 * What changed in numbered periods of these agreements, before the given ones, and has not been settled since. A given one
 * has such changes of its own when its settlement was reversed: they are taken in with it, and are no differences any more.
 */
export async function readLateChanges(tx: TenantTransaction, targets: readonly TargetRow[]): Promise<LateRow[]> {
  const { rows } = await tx.sql<LateRow>(
    `SELECT p.agreement_id, array_agg(l.id ORDER BY l.id) AS late_change_ids, min(p.starts_on) FILTER (WHERE l.cause <> 'handed' AND p.starts_on < target.starts_on) AS first_changed_on,
            coalesce(array_agg(l.source_id ORDER BY l.source_id) FILTER (WHERE l.cause = 'collection' AND p.starts_on < target.starts_on), '{}') AS collection_ids,
            coalesce(array_agg(l.source_id ORDER BY l.source_id) FILTER (WHERE l.cause = 'handed' AND p.starts_on < target.starts_on), '{}') AS handed_ids
       FROM unnest($2::uuid[], $3::date[]) AS target (agreement_id, starts_on)
       JOIN period p ON p.tenant_id = $1 AND p.agreement_id = target.agreement_id AND p.starts_on <= target.starts_on
       JOIN late_change l ON l.tenant_id = p.tenant_id AND l.period_id = p.id
      WHERE NOT ${isSettled('l')}
      GROUP BY p.agreement_id`,
    [tx.tenantId, targets.map((target) => target.agreement_id), targets.map((target) => target.starts_on)],
  );
  return rows;
}

export type PastPeriodRow = { readonly agreement_id: string; readonly period_id: string; readonly starts_on: string; readonly ends_before: string };

/** Every period of an agreement from the first changed one up to the one that is settled now, oldest first. */
export async function readPastPeriods(
  tx: TenantTransaction,
  ranges: readonly { agreementId: string; from: string; before: string }[],
): Promise<PastPeriodRow[]> {
  const { rows } = await tx.sql<PastPeriodRow>(
    `SELECT p.agreement_id, p.id AS period_id, p.starts_on, p.ends_before
       FROM unnest($2::uuid[], $3::date[], $4::date[]) AS range (agreement_id, first_day, before_day)
       JOIN period p ON p.tenant_id = $1 AND p.agreement_id = range.agreement_id AND p.starts_on >= first_day AND p.starts_on < before_day
      ORDER BY p.agreement_id, p.starts_on`,
    [tx.tenantId, ranges.map((range) => range.agreementId), ranges.map((range) => range.from), ranges.map((range) => range.before)],
  );
  return rows;
}

export type PastResultRow = { readonly agreement_id: string; readonly starts_on: string; readonly result: string };

/**
 * Results of numbered settlements, oldest first, from the last one before the first changed period: it, or a later one
 * that settled it again, says what went into that period.
 */
export async function readPastResults(
  tx: TenantTransaction,
  ranges: readonly { agreementId: string; from: string; before: string }[],
): Promise<PastResultRow[]> {
  const { rows } = await tx.sql<PastResultRow>(
    `SELECT x.agreement_id, x.starts_on, x.result
       FROM unnest($2::uuid[], $3::date[], $4::date[]) AS range (agreement_id, first_day, before_day)
       JOIN settlement x ON x.tenant_id = $1 AND x.agreement_id = range.agreement_id AND x.starts_on < before_day
        AND ${stands('x')}
        AND x.starts_on >= coalesce(
          (SELECT max(y.starts_on) FROM settlement y
            WHERE y.tenant_id = $1 AND y.agreement_id = range.agreement_id AND y.starts_on < first_day
              AND ${stands('y')}), first_day)
      ORDER BY x.agreement_id, x.starts_on, x.round`,
    [tx.tenantId, ranges.map((range) => range.agreementId), ranges.map((range) => range.from), ranges.map((range) => range.before)],
  );
  return rows;
}
