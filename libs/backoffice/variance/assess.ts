import type { TenantTransaction } from '#database/tenant';
import { usualCharts } from '#domain/variance/charts';
import { advance, newSeries, type CountedInterval, type SeriesPoint, type SeriesState } from '#domain/variance/series';
import { usualSpread } from '#domain/variance/standardise';
import { isOutOfTolerance } from '#domain/variance/tolerance';
import { boxesOfMisfits } from '../audit-file/sequence';
import { groupBy } from '../settlement/inputs/group-by';
import { selectBoxes, type Box, type BoxVariance } from './boxes';
import type { CountedRow } from './counted.sql';
import { selectNotReadTooOften } from './not-read.sql';
import { raiseFlags, type Finding } from './raise-flags';
import { toleranceOf, toleranceOn, type DatedTolerance } from './rule-set';
import { selectRuleSets } from './rule-set.sql';
import { holdSeries, nameOf, selectHistory, selectVersions, updatePoints, updateSeries, type SeriesKey } from './series.sql';
import { insertVariances, retire, selectLatest, selectSpanning, type NewVariance, type StandingVariance } from './variance.sql';

type Assess = { readonly collectionIds: readonly string[]; readonly now: Date; readonly newId: () => string };
type Drawn = { readonly row: NewVariance; readonly point: SeriesPoint; readonly dated: DatedTolerance };
type Series = { readonly key: SeriesKey; state: SeriesState; latestAt: Date | null; readonly version: string | null };

const undrawn: SeriesPoint = { standardised: null, sum: 0, average: 0, averageLimit: 0, signals: [] };

/**
 * Compares what was counted in accepted collections with what meters imply, carries the charts of each machine on, and
 * raises flags: in the transaction of the acceptance or of the correction, in a fixed number of statements. Takes the
 * locks of the series last of all locks.
 */
export async function assessCollections(tx: TenantTransaction, { collectionIds, now, newId }: Assess): Promise<void> {
  const before = await selectVersions(tx, collectionIds);
  let found = await compareBoxes(tx, { collectionIds, newId });
  if (found.fresh.length + found.gone.length === 0) return;
  let series = await heldSeries(tx, found);
  // Somebody compared a box of one of these machines meanwhile, with which one of ours is to be compared: that was not seen, and is now.
  if ([...series].some(([name, { version }]) => version !== null && version !== before.get(name))) {
    found = await compareBoxes(tx, { collectionIds, newId });
    series = await heldSeries(tx, found);
  }
  const { concerned, fresh, gone, retired } = found;
  if (retired.length > 0) await retire(tx, retired.map(({ id }) => id));

  const { drawn, behind } = drawOnward(fresh, series);
  for (const { machine_id: machineId, tender, currency } of gone) behind.add(nameOf({ machineId, tender, currency }));
  const misfits = await boxesOfMisfits(tx, concerned);
  await insertVariances(tx, drawn, now);
  const onward = [...series.values()].filter((each) => !behind.has(nameOf(each.key)));
  await saveSeries(tx, onward);
  const redrawn = behind.size === 0 ? [] : await drawAgain(tx, [...series.values()].filter((each) => behind.has(nameOf(each.key))));
  const changed = retired.map(({ collection_id: collectionId, placement_id: placementId }) => ({ collectionId, placementId }));
  const notRead = await selectNotReadTooOften(tx, drawn.flatMap(({ row }) => (row.variance.unknown.includes('not-read') ? [row] : [])));
  await raiseFlags(tx, { findings: [...drawn.map((each) => findingOf(each, { misfits, notRead })), ...redrawn], changed, now, newId });
}

/** What boxes of collections, and of those compared with them, say now, beside what is written of them. */
async function compareBoxes(tx: TenantTransaction, { collectionIds, newId }: Pick<Assess, 'collectionIds' | 'newId'>) {
  const concerned = [...new Set([...collectionIds, ...(await selectSpanning(tx, collectionIds))])];
  const boxes = await selectBoxes(tx, concerned);
  const latest = await selectLatest(tx, concerned);
  const fresh = await newVariances(tx, { boxes, latest, newId });
  const replaced = new Set(fresh.map(({ row }) => keyOfBox(row.counted, row.variance.tender)));
  const wanted = new Set(boxes.flatMap(({ counted, variances }) => variances.map(({ tender }) => keyOfBox(counted, tender))));
  // A tender that no meter tells of any more has no variance, and leaves its chart.
  const gone = latest.filter((row) => row.stands && !wanted.has(keyOfBox(row, row.tender)));
  return { concerned, fresh, gone, retired: [...latest.filter((row) => row.stands && replaced.has(keyOfBox(row, row.tender))), ...gone] };
}

async function newVariances(tx: TenantTransaction, from: { boxes: readonly Box[]; latest: readonly StandingVariance[]; newId: () => string }) {
  const ruleSets = await selectRuleSets(tx);
  const before = new Map(from.latest.map((row) => [keyOfBox(row, row.tender), row]));
  return from.boxes.flatMap(({ counted, variances }) => {
    const dated = toleranceOn(ruleSets, { currency: counted.currency, day: counted.accounting_date });
    return variances.flatMap((variance) => {
      const earlier = before.get(keyOfBox(counted, variance.tender));
      if (earlier !== undefined && isUnchanged(earlier, { counted, variance })) return [];
      const { expectedMinor, countedMinor } = variance;
      const outOfTolerance = dated.tolerance !== null && expectedMinor !== null && isOutOfTolerance(dated.tolerance, { meteredMinor: expectedMinor, countedMinor });
      const countersTooFar = variance.second !== null && dated.countersApartMinor !== null && variance.second.apartMinor > dated.countersApartMinor;
      return [{ row: { id: from.newId(), counted, variance, revision: (earlier?.revision ?? 0) + 1, ruleSetId: dated.ruleSetId, outOfTolerance, countersTooFar }, dated }];
    });
  });
}

function isUnchanged(earlier: StandingVariance, { variance }: { readonly counted: CountedRow; readonly variance: BoxVariance }): boolean {
  return (
    earlier.stands &&
    earlier.expected_minor === variance.expectedMinor &&
    earlier.counted_minor === variance.countedMinor &&
    earlier.source === variance.source &&
    earlier.counts === variance.counts &&
    earlier.plays_minor === variance.playsMinor &&
    earlier.second_expected_minor === (variance.second?.expectedMinor ?? null) &&
    earlier.counters_apart_minor === (variance.second?.apartMinor ?? null) &&
    earlier.left_out_for === variance.leftOutFor &&
    earlier.since_at?.getTime() === variance.sinceAt?.getTime() &&
    earlier.unknown.join(' ') === variance.unknown.join(' ')
  );
}

type Fresh = Awaited<ReturnType<typeof newVariances>>;

async function heldSeries(tx: TenantTransaction, { fresh, gone }: Pick<Awaited<ReturnType<typeof compareBoxes>>, 'fresh' | 'gone'>): Promise<Map<string, Series>> {
  const wanted = [...fresh.map(({ row }) => keyOf(row)), ...gone.map(({ machine_id: machineId, tender, currency }) => ({ machineId, tender, currency }))];
  const keys = new Map(wanted.map((key) => [nameOf(key), key]));
  const rows = await holdSeries(tx, [...keys.values()]);
  return new Map(rows.map(({ key, state, ...row }) => [nameOf(key), { key, state: state ?? newSeries, ...row }]));
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
    each.latestAt = null;
    for (const row of history.get(nameOf(each.key)) ?? []) {
      const interval = chartedInterval({ expectedMinor: row.expected_minor, varianceMinor: row.expected_minor === null ? null : row.counted_minor - row.expected_minor, day: row.local_date, leftOut: row.left_out });
      const next = advance(each.state, interval, settingsOf(toleranceOf(ruleSets, { ruleSetId: row.rule_set_id, currency: row.currency })));
      each.state = next.state;
      each.latestAt = row.happened_at;
      points.push({ id: row.id, point: next.point });
      const gained = next.point.signals.filter((signal) => !row.signals.includes(signal));
      findings.push({ collectionId: row.collection_id, placementId: row.placement_id, signals: gained, average: next.point.average, outOfTolerance: false, implausible: false, notRead: false, countersTooFar: false, roundUnseen: false });
    }
  }
  await updatePoints(tx, points);
  await saveSeries(tx, series);
  return findings;
}

async function saveSeries(tx: TenantTransaction, series: readonly Series[]): Promise<void> {
  if (series.length > 0) await updateSeries(tx, series);
}

function findingOf({ row, point }: Drawn, { misfits, notRead }: { readonly misfits: ReadonlySet<string>; readonly notRead: ReadonlySet<string> }): Finding {
  const isMisfit = misfits.has(`${row.counted.collection_id} ${row.counted.machine_id}`);
  // A meter that was not read says at the next visit what it counted. Of one that was not read at a change of price, or as its board was opened, nothing ever does: the first time is once too often.
  const isNotRead = notRead.has(row.id) || row.variance.unknown.some((why) => why === 'price-unread' || why === 'board-unread');
  return { collectionId: row.counted.collection_id, placementId: row.counted.placement_id, signals: point.signals, average: point.average, outOfTolerance: row.outOfTolerance, implausible: isMisfit || isImplausible(row.variance), notRead: isNotRead, countersTooFar: row.countersTooFar, roundUnseen: isRoundUnseen(row.variance) };
}

/** Meters that went where they cannot go are for somebody to look at, and no revenue before. */
function isImplausible({ unknown }: BoxVariance): boolean {
  return unknown.includes('reset-or-wrong') || unknown.includes('rollover-or-reset') || unknown.includes('above-ceiling');
}

/** More lay in the box than its meters say, by about what one of them counts in a round that nobody would have seen. */
function isRoundUnseen({ varianceMinor, unseenRoundMinor }: BoxVariance): boolean {
  return varianceMinor !== null && unseenRoundMinor !== null && 2n * varianceMinor >= unseenRoundMinor;
}

function intervalOf({ counted, variance }: { counted: CountedRow; variance: BoxVariance }): CountedInterval {
  return chartedInterval({ ...variance, day: counted.local_date, leftOut: variance.leftOutFor !== null });
}

/** The charts pass over what is not known, as over what something else explains. */
function chartedInterval({ expectedMinor, varianceMinor, day, leftOut }: Pick<CountedInterval, 'day' | 'leftOut'> & { readonly expectedMinor: bigint | null; readonly varianceMinor: bigint | null }): CountedInterval {
  return { expectedMinor: expectedMinor ?? 0n, varianceMinor: varianceMinor ?? 0n, day, leftOut: leftOut || expectedMinor === null };
}

function settingsOf({ tolerance }: DatedTolerance) {
  return { charts: usualCharts, spread: usualSpread(tolerance?.amountMinor ?? null) };
}

function keyOf({ counted, variance }: { counted: CountedRow; variance: BoxVariance }): SeriesKey {
  return { machineId: counted.machine_id, tender: variance.tender, currency: counted.currency };
}

const keyOfBox = (box: { collection_id: string; placement_id: string }, tender: string): string => `${box.collection_id} ${box.placement_id} ${tender}`;
