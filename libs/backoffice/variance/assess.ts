import type { TenantTransaction } from '#database/tenant';
import { variancesOf, type Variance } from '#domain/variance/compare';
import { usualCharts } from '#domain/variance/charts';
import { advance, newSeries, type CountedInterval, type SeriesPoint, type SeriesState } from '#domain/variance/series';
import { usualSpread } from '#domain/variance/standardise';
import { isOutOfTolerance } from '#domain/variance/tolerance';
import { groupBy } from '../settlement/inputs/group-by';
import { selectCounted, type CountedRow } from './counted.sql';
import { raiseFlags, type Finding } from './raise-flags';
import { toleranceOn, type DatedTolerance } from './rule-set';
import { selectRuleSets } from './rule-set.sql';
import { holdSeries, selectHistory, updatePoints, updateSeries, type SeriesKey } from './series.sql';
import { insertVariances, retire, selectStanding, type NewVariance } from './variance.sql';

type Assess = { readonly collectionIds: readonly string[]; readonly now: Date; readonly newId: () => string };
type Drawn = { readonly row: NewVariance; readonly point: SeriesPoint; readonly dated: DatedTolerance };
type Series = { readonly key: SeriesKey; state: SeriesState; latestAt: Date | null };

const undrawn: SeriesPoint = { standardised: null, sum: 0, average: 0, averageLimit: 0, signals: [] };

/**
 * Compares what was counted in accepted collections with what meters imply, carries the charts of each machine on, and
 * raises flags: in the transaction of the acceptance or of the correction, in a fixed number of statements. Takes the
 * locks of the series last of all locks.
 */
export async function assessCollections(tx: TenantTransaction, { collectionIds, now, newId }: Assess): Promise<void> {
  const counted = await selectCounted(tx, collectionIds);
  if (counted.length === 0) return;
  const standing = await selectStanding(tx, collectionIds);
  const fresh = await newVariances(tx, { counted, standing, newId });
  if (fresh.length === 0) return;
  const replaced = new Set(fresh.map(({ row }) => keyOfBox(row.counted, row.variance.tender)));
  const retired = standing.filter((row) => replaced.has(keyOfBox(row, row.tender)));
  if (retired.length > 0) await retire(tx, retired.map(({ id }) => id));

  const series = await heldSeries(tx, fresh);
  const { drawn, behind } = drawOnward(fresh, series);
  await insertVariances(tx, drawn, now);
  const onward = [...series.values()].filter((each) => !behind.has(nameOf(each.key)));
  await saveSeries(tx, onward);
  const redrawn = behind.size === 0 ? [] : await drawAgain(tx, [...series.values()].filter((each) => behind.has(nameOf(each.key))));
  await raiseFlags(tx, { findings: [...drawn.map(findingOf), ...redrawn], now, newId });
}

async function newVariances(tx: TenantTransaction, from: { counted: readonly CountedRow[]; standing: Awaited<ReturnType<typeof selectStanding>>; newId: () => string }) {
  const ruleSets = await selectRuleSets(tx);
  const before = new Map(from.standing.map((row) => [keyOfBox(row, row.tender), row]));
  return from.counted.flatMap((counted) => {
    const dated = toleranceOn(ruleSets, { currency: counted.currency, day: counted.accounting_date });
    const variances = variancesOf({ coinMinor: counted.coin_minor, noteMinor: counted.note_minor }, [{ tender: 'cash', expectedMinor: counted.metered_minor }]);
    return variances.flatMap((variance) => {
      const earlier = before.get(keyOfBox(counted, variance.tender));
      const unchanged = earlier?.expected_minor === variance.expectedMinor && earlier.counted_minor === variance.countedMinor;
      if (unchanged) return [];
      const outOfTolerance = dated.tolerance !== null && isOutOfTolerance(dated.tolerance, { meteredMinor: variance.expectedMinor, countedMinor: variance.countedMinor });
      return [{ row: { id: from.newId(), counted, variance, revision: (earlier?.revision ?? 0) + 1, ruleSetId: dated.ruleSetId, outOfTolerance }, dated }];
    });
  });
}

type Fresh = Awaited<ReturnType<typeof newVariances>>;

async function heldSeries(tx: TenantTransaction, fresh: Fresh): Promise<Map<string, Series>> {
  const keys = new Map(fresh.map(({ row }) => [nameOf(keyOf(row)), keyOf(row)]));
  const rows = await holdSeries(tx, [...keys.values()]);
  return new Map(rows.map(({ key, state, latestAt }) => [nameOf(key), { key, state: state ?? newSeries, latestAt }]));
}

/** Draws what comes after everything known. A count in between, and a corrected one, leave their series behind. */
function drawOnward(fresh: Fresh, series: ReadonlyMap<string, Series>): { drawn: Drawn[]; behind: Set<string> } {
  const behind = new Set<string>();
  const byTime = [...fresh].sort((left, right) => left.row.counted.happened_at.getTime() - right.row.counted.happened_at.getTime());
  const drawn = byTime.map(({ row, dated }): Drawn => {
    const own = series.get(nameOf(keyOf(row)));
    if (own === undefined) throw new Error('a series that was just held is not there');
    const { happened_at: happenedAt } = row.counted;
    if (row.revision > 1 || (own.latestAt !== null && happenedAt <= own.latestAt)) behind.add(nameOf(own.key));
    if (behind.has(nameOf(own.key))) return { row, dated, point: undrawn };
    const next = advance(own.state, intervalOf(row), settingsOf(dated));
    own.state = next.state;
    own.latestAt = happenedAt;
    return { row, dated, point: next.point };
  });
  return { drawn, behind };
}

/** Draws series anew over all that stands; what signals now and did not before is found now. */
async function drawAgain(tx: TenantTransaction, series: readonly Series[]): Promise<Finding[]> {
  const history = groupBy(await selectHistory(tx, series.map(({ key }) => key.machineId)), (row) => nameOf({ machineId: row.machine_id, tender: row.tender, currency: row.currency }));
  const ruleSets = await selectRuleSets(tx);
  const findings: Finding[] = [];
  const points: { id: string; point: SeriesPoint }[] = [];
  for (const each of series) {
    each.state = newSeries;
    for (const row of history.get(nameOf(each.key)) ?? []) {
      const interval = { expectedMinor: row.expected_minor, varianceMinor: row.counted_minor - row.expected_minor, day: row.local_date, leftOut: row.left_out };
      const next = advance(each.state, interval, settingsOf(toleranceOn(ruleSets, { currency: row.currency, day: row.local_date })));
      each.state = next.state;
      each.latestAt = row.happened_at;
      points.push({ id: row.id, point: next.point });
      const gained = next.point.signals.filter((signal) => !row.signals.includes(signal));
      findings.push({ collectionId: row.collection_id, placementId: row.placement_id, signals: gained, average: next.point.average, outOfTolerance: false });
    }
  }
  await updatePoints(tx, points);
  await saveSeries(tx, series);
  return findings;
}

async function saveSeries(tx: TenantTransaction, series: readonly Series[]): Promise<void> {
  const known = series.flatMap(({ key, state, latestAt }) => (latestAt === null ? [] : [{ key, state, latestAt }]));
  if (known.length > 0) await updateSeries(tx, known);
}

function findingOf({ row, point }: Drawn): Finding {
  return { collectionId: row.counted.collection_id, placementId: row.counted.placement_id, signals: point.signals, average: point.average, outOfTolerance: row.outOfTolerance };
}

function intervalOf({ counted, variance }: { counted: CountedRow; variance: Variance }): CountedInterval {
  return { expectedMinor: variance.expectedMinor, varianceMinor: variance.varianceMinor, day: counted.local_date, leftOut: counted.left_out };
}

function settingsOf({ tolerance }: DatedTolerance) {
  return { charts: usualCharts, spread: usualSpread(tolerance?.amountMinor ?? null) };
}

function keyOf({ counted, variance }: { counted: CountedRow; variance: Variance }): SeriesKey {
  return { machineId: counted.machine_id, tender: variance.tender, currency: counted.currency };
}

const nameOf = ({ machineId, tender, currency }: SeriesKey): string => `${machineId} ${tender} ${currency}`;
const keyOfBox = (box: { collection_id: string; placement_id: string }, tender: string): string => `${box.collection_id} ${box.placement_id} ${tender}`;
