import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Tender } from '#domain/variance/compare';
import type { SeriesPoint, SeriesState, Signal } from '#domain/variance/series';

export type SeriesKey = { readonly machineId: string; readonly tender: Tender; readonly currency: CurrencyCode };

/** How a state is stored: amounts as text, since JSON has no whole numbers of their size. */
type StoredState = Omit<SeriesState, 'latestMinor'> & { readonly latestMinor: readonly string[] };

/** `version`: changes with each writing of the row, and is null where this transaction made it. */
export type SeriesRow = { readonly key: SeriesKey; readonly state: SeriesState | null; readonly latestAt: Date | null; readonly version: string | null };

export const nameOf = ({ machineId, tender, currency }: SeriesKey): string => `${machineId} ${tender} ${currency}`;

/** The versions of all series of the machines that were counted in some collections, by {@link nameOf}. */
export async function selectVersions(tx: TenantTransaction, collectionIds: readonly string[]): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ machine_id: string; tender: Tender; currency: CurrencyCode; version: string }>(
    `SELECT s.machine_id, s.tender, s.currency, s.xmin::text AS version FROM variance_series s
      WHERE s.tenant_id = $1 AND s.machine_id IN (SELECT b.machine_id FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = ANY ($2::uuid[]))`,
    [tx.tenantId, collectionIds],
  );
  return new Map(rows.map(({ machine_id: machineId, tender, currency, version }) => [nameOf({ machineId, tender, currency }), version]));
}

const emptyState = '{}';

/** Holds the series of some machines, in one order everywhere, and makes those that there were none of. */
export async function holdSeries(tx: TenantTransaction, keys: readonly SeriesKey[]): Promise<SeriesRow[]> {
  const columns = [keys.map((key) => key.machineId), keys.map((key) => key.tender), keys.map((key) => key.currency)];
  const { rows: made } = await tx.sql<{ machine_id: string; tender: Tender; currency: CurrencyCode }>(
    `INSERT INTO variance_series (tenant_id, machine_id, tender, currency, state)
     SELECT $1, k.machine_id, k.tender, k.currency, $5 FROM unnest($2::uuid[], $3::text[], $4::text[]) AS k (machine_id, tender, currency)
      ORDER BY k.machine_id, k.tender, k.currency
         ON CONFLICT DO NOTHING RETURNING machine_id, tender, currency`,
    [tx.tenantId, ...columns, emptyState],
  );
  const { rows } = await tx.sql<{ machine_id: string; tender: Tender; currency: CurrencyCode; state: StoredState | Record<string, never>; latest_at: Date | null; version: string }>(
    `SELECT s.machine_id, s.tender, s.currency, s.state, s.latest_at, s.xmin::text AS version
       FROM variance_series s
       JOIN unnest($2::uuid[], $3::text[], $4::text[]) AS k (machine_id, tender, currency) ON k.machine_id = s.machine_id AND k.tender = s.tender AND k.currency = s.currency
      WHERE s.tenant_id = $1
      ORDER BY s.machine_id, s.tender, s.currency
        FOR UPDATE OF s`,
    [tx.tenantId, ...columns],
  );
  const own = new Set(made.map(({ machine_id: machineId, tender, currency }) => nameOf({ machineId, tender, currency })));
  return rows.map(({ machine_id: machineId, tender, currency, ...row }) => ({
    key: { machineId, tender, currency },
    state: isStored(row.state) ? { ...row.state, latestMinor: row.state.latestMinor.map(BigInt) } : null,
    latestAt: row.latest_at,
    version: own.has(nameOf({ machineId, tender, currency })) ? null : row.version,
  }));
}

function isStored(state: StoredState | Record<string, never>): state is StoredState {
  return 'learned' in state;
}

export async function updateSeries(tx: TenantTransaction, series: readonly { readonly key: SeriesKey; readonly state: SeriesState; readonly latestAt: Date | null }[]): Promise<void> {
  await tx.sql(
    `UPDATE variance_series s SET state = n.state, latest_at = n.latest_at
       FROM unnest($2::uuid[], $3::text[], $4::text[], $5::jsonb[], $6::timestamptz[]) AS n (machine_id, tender, currency, state, latest_at)
      WHERE s.tenant_id = $1 AND s.machine_id = n.machine_id AND s.tender = n.tender AND s.currency = n.currency`,
    [
      tx.tenantId,
      series.map(({ key }) => key.machineId),
      series.map(({ key }) => key.tender),
      series.map(({ key }) => key.currency),
      series.map(({ state }) => JSON.stringify({ ...state, latestMinor: state.latestMinor.map(String) })),
      series.map(({ latestAt }) => latestAt),
    ],
  );
}

export type HistoryRow = {
  id: string;
  collection_id: string;
  placement_id: string;
  machine_id: string;
  tender: Tender;
  currency: CurrencyCode;
  happened_at: Date;
  local_date: LocalDate;
  expected_minor: bigint | null;
  counted_minor: bigint;
  left_out: boolean;
  rule_set_id: string | null;
  signals: Signal[];
};

/** Everything that stands of some series, oldest first. */
export async function selectHistory(tx: TenantTransaction, machineIds: readonly string[]): Promise<HistoryRow[]> {
  const { rows } = await tx.sql<HistoryRow>(
    `SELECT v.id, v.collection_id, v.placement_id, v.machine_id, v.tender, v.currency, v.happened_at, v.local_date, v.expected_minor, v.counted_minor, v.left_out, v.rule_set_id, v.signals
       FROM cash_variance v WHERE v.tenant_id = $1 AND v.machine_id = ANY ($2::uuid[]) AND v.stands
      ORDER BY v.happened_at, v.id`,
    [tx.tenantId, machineIds],
  );
  return rows;
}

export async function updatePoints(tx: TenantTransaction, points: readonly { readonly id: string; readonly point: SeriesPoint }[]): Promise<void> {
  await tx.sql(
    `UPDATE cash_variance v
        SET sigmas = n.sigmas, chart_sum = n.chart_sum, chart_average = n.chart_average, average_limit = n.average_limit, signals = string_to_array(n.signals, ' ')
       FROM unnest($2::uuid[], $3::float8[], $4::float8[], $5::float8[], $6::float8[], $7::text[]) AS n (id, sigmas, chart_sum, chart_average, average_limit, signals)
      WHERE v.tenant_id = $1 AND v.id = n.id`,
    [
      tx.tenantId,
      points.map(({ id }) => id),
      points.map(({ point }) => point.standardised),
      points.map(({ point }) => point.sum),
      points.map(({ point }) => point.average),
      points.map(({ point }) => point.averageLimit),
      points.map(({ point }) => point.signals.join(' ')),
    ],
  );
}
