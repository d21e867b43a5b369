import type { VarianceReportQuery } from '#contracts/variance-report';
import type { TenantTransaction } from '#database/tenant';
import type { CurrencyCode } from '#domain/money/currency';
import { isCompared } from './together.sql';

export type ReportRow = {
  id: string | null;
  several: boolean;
  code: string;
  name: string;
  currency: CurrencyCode;
  counts: number;
  out_of_tolerance: number;
  counters_apart: number;
  left_out: number;
  expected_minor: bigint;
  counted_minor: bigint;
  shortages_minor: bigint;
  overages_minor: bigint;
  open_flags: number;
  explained_flags: number;
};

/** A box has a row for each tender, and is one count. */
const boxes = (condition: string): string => `(count(DISTINCT (v.collection_id, v.placement_id)) FILTER (WHERE ${condition}))::int`;

/** How a box is told to whom it belongs: key of the group, and the names for it after the sums are made. */
const groups: { readonly [by in VarianceReportQuery['by']]: { readonly key: string; readonly names: string; readonly code: string; readonly name: string; readonly order: string } } = {
  machine: { key: 'v.machine_id::text', names: 'LEFT JOIN machine n ON n.tenant_id = $1 AND n.id = g.key::uuid', code: 'n.tag', name: 'n.kind', order: 'g.shortages_minor, n.tag, g.currency' },
  site: { key: 'v.site_id::text', names: 'LEFT JOIN site n ON n.tenant_id = $1 AND n.id = g.key::uuid', code: 'n.code', name: 'n.name', order: 'g.shortages_minor, n.code, g.currency' },
  collector: { key: `CASE WHEN several.collection_id IS NULL THEN c.collected_by::text ELSE 'several' END`, names: `LEFT JOIN person n ON n.tenant_id = $1 AND n.id = CASE WHEN g.key <> 'several' THEN g.key::uuid END`, code: 'n.code', name: 'n.name', order: 'g.shortages_minor, n.code, g.currency' },
  month: { key: `to_char(v.accounting_date, 'YYYY-MM')`, names: '', code: 'g.key', name: `''`, order: 'g.key, g.currency' },
};

/** Variances over the visits of several, as readings were missed. Nothing says what part of a difference is whose, so they are of none of them. */
const ofSeveral = `several AS MATERIALIZED (
       SELECT v.collection_id, v.placement_id, v.tender
         FROM cash_variance v
         JOIN box_count b ON b.tenant_id = $1 AND b.placement_id = v.placement_id
         JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id AND c.state = 'accepted' AND c.happened_at > v.since_at AND c.happened_at <= v.happened_at
        WHERE v.tenant_id = $1 AND v.stands AND v.counts > 1 AND v.accounting_date >= $2 AND v.accounting_date <= $3
        GROUP BY v.collection_id, v.placement_id, v.tender HAVING count(DISTINCT c.collected_by) + max((c.collected_by IS NULL)::int) > 1),`;

/** Those of a variance, of its tender; those of a flag, which is of the whole box. */
const severalOf = { variance: 'SELECT * FROM several WHERE tender = v.tender', flag: 'SELECT DISTINCT collection_id, placement_id FROM several' };

/** Sums of what stands, by what is asked for, of all tenders or of one; a flag is of the whole box. A collection is joined only where its collector is asked about. */
export async function selectReport(tx: TenantTransaction, query: VarianceReportQuery & { readonly notSites: readonly string[]; readonly limit: number | null }): Promise<ReportRow[]> {
  const group = groups[query.by];
  const ofCollector = query.by === 'collector' || query.collectorId !== undefined;
  const collection = (of: keyof typeof severalOf): string => (ofCollector ? `JOIN collection c ON c.tenant_id = $1 AND c.id = v.collection_id LEFT JOIN LATERAL (${severalOf[of]}) several ON several.collection_id = v.collection_id AND several.placement_id = v.placement_id` : '');
  const filter = (alias: string): string => `
    ${alias}.tenant_id = $1 AND ${alias}.accounting_date >= $2 AND ${alias}.accounting_date <= $3 AND ${alias}.site_id <> ALL ($4::uuid[])
    AND ($5::uuid IS NULL OR ${alias}.site_id = $5) AND ($6::uuid IS NULL OR ${alias}.machine_id = $6) AND ($7::uuid IS NULL OR ${ofCollector ? '(c.collected_by = $7 AND several.collection_id IS NULL)' : 'true'})`;
  const { rows } = await tx.sql<ReportRow>(
    `WITH ${ofCollector ? ofSeveral : ''} g AS (
       SELECT ${group.key} AS key, v.currency, ${boxes(isCompared('v'))} AS counts,
              ${boxes(`v.out_of_tolerance AND ${isCompared('v')}`)} AS out_of_tolerance, ${boxes(`v.counters_too_far`)} AS counters_apart, ${boxes(`NOT ${isCompared('v')}`)} AS left_out,
              coalesce(sum(v.expected_minor) FILTER (WHERE ${isCompared('v')}), 0)::bigint AS expected_minor, coalesce(sum(v.counted_minor) FILTER (WHERE ${isCompared('v')}), 0)::bigint AS counted_minor,
              coalesce(sum(least(v.counted_minor - v.expected_minor, 0)) FILTER (WHERE ${isCompared('v')}), 0)::bigint AS shortages_minor,
              coalesce(sum(greatest(v.counted_minor - v.expected_minor, 0)) FILTER (WHERE ${isCompared('v')}), 0)::bigint AS overages_minor
         FROM cash_variance v ${collection('variance')} WHERE v.stands AND ($9::text IS NULL OR v.tender = $9) AND ${filter('v')} GROUP BY 1, 2),
     f AS (
       SELECT ${group.key} AS key, v.currency, count(*) FILTER (WHERE v.state = 'open')::int AS open_flags, count(*) FILTER (WHERE v.state = 'explained')::int AS explained_flags
         FROM variance_flag v ${collection('flag')} WHERE ${filter('v')} GROUP BY 1, 2)
     SELECT ${query.by === 'month' ? 'NULL::text' : `nullif(g.key, 'several')`} AS id, coalesce(g.key = 'several', false) AS several, coalesce(${group.code}, '') AS code, coalesce(${group.name}, '') AS name, g.currency, g.counts, g.out_of_tolerance, g.counters_apart, g.left_out,
            g.expected_minor, g.counted_minor, g.shortages_minor, g.overages_minor, coalesce(f.open_flags, 0) AS open_flags, coalesce(f.explained_flags, 0) AS explained_flags
       FROM g LEFT JOIN f ON f.key IS NOT DISTINCT FROM g.key AND f.currency = g.currency
       ${group.names}
      ORDER BY ${group.order} LIMIT $8`,
    [tx.tenantId, query.from, query.to, query.notSites, query.siteId ?? null, query.machineId ?? null, query.collectorId ?? null, query.limit, query.tender ?? null],
  );
  return rows;
}
