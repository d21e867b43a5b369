import type { TenantTransaction } from '#database/tenant';
import type { NotCompared, Tender } from '#domain/variance/compare';
import type { SeriesPoint } from '#domain/variance/series';
import type { CurrencyCode } from '#domain/money/currency';
import type { BoxVariance } from './boxes';
import type { CountedRow, LeftOutFor } from './counted.sql';
import { waitingFor } from './waiting.sql';

export type NewVariance = {
  readonly id: string;
  readonly counted: CountedRow;
  readonly variance: BoxVariance;
  readonly revision: number;
  readonly ruleSetId: string | null;
  readonly outOfTolerance: boolean;
  readonly countersTooFar: boolean;
};

export type StandingVariance = {
  id: string;
  collection_id: string;
  placement_id: string;
  machine_id: string;
  currency: CurrencyCode;
  tender: Tender;
  revision: number;
  stands: boolean;
  expected_minor: bigint | null;
  counted_minor: bigint;
  source: string;
  unknown: NotCompared[];
  since_at: Date | null;
  counts: number;
  plays_minor: bigint | null;
  second_expected_minor: bigint | null;
  counters_apart_minor: bigint | null;
  left_out_for: LeftOutFor | null;
};

/** The latest variance of each box and tender of some collections: none before they are accepted. */
export async function selectLatest(tx: TenantTransaction, collectionIds: readonly string[]): Promise<StandingVariance[]> {
  const { rows } = await tx.sql<StandingVariance>(
    `SELECT DISTINCT ON (collection_id, placement_id, tender) id, collection_id, placement_id, machine_id, currency, tender, revision, stands, expected_minor, counted_minor, source, unknown,
            since_at, counts, plays_minor, second_expected_minor, counters_apart_minor, left_out_for
       FROM cash_variance WHERE tenant_id = $1 AND collection_id = ANY ($2::uuid[])
      ORDER BY collection_id, placement_id, tender, revision DESC`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}

/**
 * Accepted collections whose expected amounts count from before one of these: a reading was missed at it, so its count is a
 * part of what they are compared with. So is one that is not counted yet, for which they wait.
 */
export async function selectSpanning(tx: TenantTransaction, collectionIds: readonly string[]): Promise<string[]> {
  const { rows } = await tx.sql<{ collection_id: string }>(
    `SELECT DISTINCT v.collection_id
       FROM collection c
       JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = c.id
       JOIN cash_variance v ON v.tenant_id = $1 AND v.machine_id = b.machine_id AND v.stands AND v.happened_at > c.happened_at AND v.since_at < c.happened_at
      WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[])
      UNION SELECT waits.collection_id FROM unnest($2::uuid[]) AS wanted (id) CROSS JOIN LATERAL (${waitingFor('wanted.id')}) waits`,
    [tx.tenantId, collectionIds],
  );
  return rows.map((row) => row.collection_id);
}

export async function retire(tx: TenantTransaction, ids: readonly string[]): Promise<void> {
  await tx.sql('UPDATE cash_variance SET stands = false WHERE tenant_id = $1 AND id = ANY ($2::uuid[])', [tx.tenantId, ids]);
}

export async function insertVariances(tx: TenantTransaction, list: readonly { readonly row: NewVariance; readonly point: SeriesPoint }[], now: Date): Promise<void> {
  const column = <Value>(pick: (each: (typeof list)[number]) => Value): Value[] => list.map(pick);
  await tx.sql(
    `INSERT INTO cash_variance (tenant_id, id, collection_id, site_id, placement_id, machine_id, tender, revision, currency, happened_at, local_date, accounting_date,
                                expected_minor, counted_minor, rule_set_id, out_of_tolerance, left_out, sigmas, chart_sum, chart_average, average_limit, signals, recorded_at,
                                source, unknown, since_at, counts, plays_minor, left_out_for, second_expected_minor, counters_apart_minor, counters_too_far)
     SELECT $1, n.id, n.collection_id, n.site_id, n.placement_id, n.machine_id, n.tender, n.revision, n.currency, n.happened_at, n.local_date, n.accounting_date,
            n.expected_minor, n.counted_minor, n.rule_set_id, n.out_of_tolerance, n.left_out, n.sigmas, n.chart_sum, n.chart_average, n.average_limit,
            string_to_array(n.signals, ' '), $2, n.source, string_to_array(n.unknown, ' '), n.since_at, n.counts, n.plays_minor, n.left_out_for, n.second_expected_minor, n.counters_apart_minor, n.counters_too_far
       FROM unnest($3::uuid[], $4::uuid[], $5::uuid[], $6::uuid[], $7::uuid[], $8::text[], $9::int[], $10::text[], $11::timestamptz[], $12::date[], $13::date[], $14::bigint[],
                   $15::bigint[], $16::uuid[], $17::boolean[], $18::boolean[], $19::float8[], $20::float8[], $21::float8[], $22::float8[], $23::text[],
                   $24::text[], $25::text[], $26::timestamptz[], $27::int[], $28::bigint[], $29::text[], $30::bigint[], $31::bigint[], $32::boolean[])
         AS n (id, collection_id, site_id, placement_id, machine_id, tender, revision, currency, happened_at, local_date, accounting_date, expected_minor,
               counted_minor, rule_set_id, out_of_tolerance, left_out, sigmas, chart_sum, chart_average, average_limit, signals, source, unknown, since_at, counts, plays_minor, left_out_for, second_expected_minor, counters_apart_minor, counters_too_far)`,
    [
      tx.tenantId,
      now,
      column(({ row }) => row.id),
      column(({ row }) => row.counted.collection_id),
      column(({ row }) => row.counted.site_id),
      column(({ row }) => row.counted.placement_id),
      column(({ row }) => row.counted.machine_id),
      column(({ row }) => row.variance.tender),
      column(({ row }) => row.revision),
      column(({ row }) => row.counted.currency),
      column(({ row }) => row.counted.happened_at),
      column(({ row }) => row.counted.local_date),
      column(({ row }) => row.counted.accounting_date),
      column(({ row }) => row.variance.expectedMinor),
      column(({ row }) => row.variance.countedMinor),
      column(({ row }) => row.ruleSetId),
      column(({ row }) => row.outOfTolerance),
      column(({ row }) => row.variance.leftOutFor !== null),
      column(({ point }) => point.standardised),
      column(({ point }) => point.sum),
      column(({ point }) => point.average),
      column(({ point }) => point.averageLimit),
      column(({ point }) => point.signals.join(' ')),
      column(({ row }) => row.variance.source),
      column(({ row }) => row.variance.unknown.join(' ')),
      column(({ row }) => row.variance.sinceAt),
      column(({ row }) => row.variance.counts),
      column(({ row }) => row.variance.playsMinor),
      column(({ row }) => row.variance.leftOutFor),
      column(({ row }) => row.variance.second?.expectedMinor ?? null),
      column(({ row }) => row.variance.second?.apartMinor ?? null),
      column(({ row }) => row.countersTooFar),
    ],
  );
}
