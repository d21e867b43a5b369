import type { TenantTransaction } from '#database/tenant';
import type { ExpectedCash, SecondCounters } from '#domain/meters/expected-cash';
import { cashTenders, type CashTender } from '#domain/meters/meter';
import { partOf } from '#domain/meters/part';
import { variancesOf, type NotCompared, type Variance } from '#domain/variance/compare';
import { expectedCash } from '../meter/expected-cash';
import { selectMeters } from '../meter/meter.sql';
import { isFittedAt, toMeter } from '../meter/to-board';
import { groupBy } from '../settlement/inputs/group-by';
import { selectBegunAmid, selectCounted, selectEmptied, selectLeftOut, selectWaitingEmptyings, type CountedRow, type EmptiedRow, type LeftOutFor, type WaitingEmptying } from './counted.sql';

/** A box of an accepted collection against what its meters say, in one tender. */
export type BoxVariance = Variance & {
  readonly source: 'typed' | 'meters';
  readonly unknown: readonly NotCompared[];
  /** The reading from which the expected amount counts. */
  readonly sinceAt: Date | null;
  /** Counts that are compared together: more than one where a reading was missed. */
  readonly counts: number;
  readonly playsMinor: bigint | null;
  readonly second: SecondCounters | null;
  /** What one round of a meter would be worth that could have gone unseen; null where none could. */
  readonly unseenRoundMinor: bigint | null;
  /** What explains the time over which it is compared. */
  readonly leftOutFor: LeftOutFor | null;
};

type Compared = Omit<BoxVariance, 'leftOutFor'>;

export type Box = { readonly counted: CountedRow; readonly variances: readonly BoxVariance[] };

/**
 * The boxes of accepted collections with what meters say of them. Where meters are recorded they are what counts; an
 * amount that was typed holds only for a machine without.
 */
export async function selectBoxes(tx: TenantTransaction, collectionIds: readonly string[]): Promise<Box[]> {
  const counted = await selectCounted(tx, collectionIds);
  if (counted.length === 0) return [];
  const expected = groupBy(await expectedCash(tx, collectionIds), (each) => keyOf(each.collectionId, each.machineId));
  const metered = counted.flatMap((row) => (expected.get(keyOf(row.collection_id, row.machine_id)) ?? []).map((each) => ({ row, each })));
  const spans = await emptiedSince(tx, metered);
  const waiting = await waitingSince(tx, metered);
  const amid = await begunAmid(tx, metered);
  const unread = await unreadTenders(tx, counted.filter((row) => !expected.has(keyOf(row.collection_id, row.machine_id))));
  const boxes = counted.map((row) => {
    const own = expected.get(keyOf(row.collection_id, row.machine_id)) ?? [];
    const unreadHere = unread.get(keyOf(row.collection_id, row.machine_id));
    if (unreadHere !== undefined) return { counted: row, variances: unreadVariances(row, unreadHere) };
    const typed = row.metered_minor === null || own.length > 0 ? [] : typedVariances(row, row.metered_minor);
    const [emptied, waits] = [spans.get(row.machine_id) ?? [], waiting.get(row.machine_id) ?? []];
    return { counted: row, variances: [...typed, ...own.flatMap((each) => meteredVariances(each, { row, emptied, waits, amid: amid.has(sinceKey(row.placement_id, each.sinceMs)) }))] };
  });
  return withLeftOut(tx, boxes);
}

async function withLeftOut(tx: TenantTransaction, boxes: readonly { readonly counted: CountedRow; readonly variances: readonly Compared[] }[]): Promise<Box[]> {
  const spans = new Map(boxes.flatMap(({ counted, variances }) => variances.map((each) => [spanKey(counted, each), { collectionId: counted.collection_id, placementId: counted.placement_id, since: sinceEarlier(each) }] as const)));
  const places = new Map([...spans.keys()].map((key, index) => [key, index + 1]));
  const leftOut = spans.size === 0 ? new Map<number, LeftOutFor>() : await selectLeftOut(tx, [...spans.values()]);
  return boxes.map(({ counted, variances }) => ({ counted, variances: variances.map((each) => ({ ...each, leftOutFor: leftOut.get(places.get(spanKey(counted, each)) ?? 0) ?? null })) }));
}

const sinceEarlier = ({ counts, sinceAt }: Compared): Date | null => (counts > 1 ? sinceAt : null);
const spanKey = ({ collection_id: collectionId, placement_id: placementId }: CountedRow, each: Compared): string => `${collectionId} ${placementId} ${String(sinceEarlier(each)?.getTime())}`;

type Metered = { readonly row: CountedRow; readonly each: ExpectedCash };

async function emptiedSince(tx: TenantTransaction, metered: readonly Metered[]): Promise<ReadonlyMap<string, readonly EmptiedRow[]>> {
  const span = spanOf(metered);
  return span === null ? new Map() : groupBy(await selectEmptied(tx, span), (row) => row.machine_id);
}

async function waitingSince(tx: TenantTransaction, metered: readonly Metered[]): Promise<ReadonlyMap<string, readonly WaitingEmptying[]>> {
  const span = spanOf(metered);
  return span === null ? new Map() : groupBy(await selectWaitingEmptyings(tx, span), (row) => row.machine_id);
}

/** The machines, and the earliest reading that any of their amounts counts from. */
function spanOf(metered: readonly Metered[]): { machineIds: string[]; from: Date } | null {
  const [first] = metered;
  if (first === undefined) return null;
  const fromMs = metered.reduce((earliest, { each }) => Math.min(earliest, each.sinceMs), first.each.sinceMs);
  return { machineIds: [...new Set(metered.map(({ row }) => row.machine_id))], from: new Date(fromMs) };
}

async function begunAmid(tx: TenantTransaction, metered: readonly Metered[]): Promise<ReadonlySet<string>> {
  const known = metered.filter(({ each, row }) => each.sinceMs < row.happened_at.getTime());
  const moments = [...new Map(known.map(({ row, each }) => [sinceKey(row.placement_id, each.sinceMs), { machineId: row.machine_id, placementId: row.placement_id, at: new Date(each.sinceMs) }]))];
  if (moments.length === 0) return new Set();
  const places = await selectBegunAmid(tx, moments.map(([, moment]) => moment));
  return new Set(moments.flatMap(([key], index) => (places.has(index + 1) ? [key] : [])));
}

/** Tenders that the meters of a machine tell of, where none of them was read at a collection. */
async function unreadTenders(tx: TenantTransaction, counted: readonly CountedRow[]): Promise<ReadonlyMap<string, readonly CashTender[]>> {
  const meters = counted.length === 0 ? [] : await selectMeters(tx, [...new Set(counted.map((row) => row.machine_id))]);
  const byMachine = groupBy(meters, (meter) => meter.machine_id);
  return new Map(
    counted.flatMap((row) => {
      const meters = (byMachine.get(row.machine_id) ?? []).filter((meter) => isFittedAt(meter, row.happened_at)).map(toMeter);
      const told = cashTenders.filter((tender) => meters.some((meter) => partOf(meter, { meters })?.tender === tender));
      return told.length === 0 ? [] : [[keyOf(row.collection_id, row.machine_id), told] as const];
    }),
  );
}

function unreadVariances(row: CountedRow, told: readonly CashTender[]): Compared[] {
  const variances = variancesOf(amountsOf([row]), told.map((tender) => ({ tender, expectedMinor: null })));
  return variances.map((variance) => ({ ...variance, source: 'meters', unknown: ['not-read'], sinceAt: null, counts: 1, playsMinor: null, second: null, unseenRoundMinor: null }));
}

function typedVariances(row: CountedRow, expectedMinor: bigint): Compared[] {
  return variancesOf(amountsOf([row]), [{ tender: 'cash', expectedMinor }]).map((variance) => ({ ...variance, source: 'typed', unknown: [], sinceAt: null, counts: 1, playsMinor: null, second: null, unseenRoundMinor: null }));
}

/** A reading that was missed makes one long interval, so it is compared with all that was counted in it, and not before all of that is accepted. */
function meteredVariances({ tender, expectedMinor, unknown, sinceMs, playsMinor, second, unseenRoundMinor }: ExpectedCash, of: { readonly row: CountedRow; readonly emptied: readonly EmptiedRow[]; readonly waits: readonly WaitingEmptying[]; readonly amid: boolean }): Compared[] {
  const { row, emptied, waits, amid } = of;
  const untilMs = row.happened_at.getTime();
  const isBetween = ({ happened_at: at }: { readonly happened_at: Date }) => at.getTime() > sinceMs && at.getTime() < untilMs;
  const before = emptied.filter((each) => each.placement_id === row.placement_id && isBetween(each));
  const first: readonly NotCompared[] = amid && unknown.length === 0 ? ['first-reading'] : unknown;
  const why = first.length === 0 && waits.some(isBetween) ? (['count-waits'] as const) : first;
  const together = why.length === 0 ? [...before, row] : [row];
  const variances = variancesOf(amountsOf(together), [{ tender, expectedMinor: why.length === 0 ? expectedMinor : null }]);
  return variances.map((variance) => ({ ...variance, source: 'meters', unknown: why, sinceAt: new Date(sinceMs), counts: together.length, playsMinor, second: why.length === 0 ? second : null, unseenRoundMinor }));
}

function amountsOf(boxes: readonly { readonly coin_minor: bigint; readonly note_minor: bigint }[]): { coinMinor: bigint; noteMinor: bigint } {
  return boxes.reduce((sum, box) => ({ coinMinor: sum.coinMinor + box.coin_minor, noteMinor: sum.noteMinor + box.note_minor }), { coinMinor: 0n, noteMinor: 0n });
}

const keyOf = (collectionId: string, machineId: string): string => `${collectionId} ${machineId}`;
const sinceKey = (placementId: string, sinceMs: number): string => `${placementId} ${String(sinceMs)}`;
