import type { TenantTransaction } from '#database/tenant';
import type { ReadingPhase } from '#domain/meters/meter';
import type { CollectionState } from '../collection/collection.sql';
import { madeAlone } from '../policy/policy.sql';
import { countsCash } from './meter.sql';

export type Occasion = 'collection' | 'placement' | 'removal' | 'price-change' | 'board-access' | 'board-fitted' | 'board-removed' | 'game-change' | 'in-service' | 'out-of-service';

/** Occasions at which a meter is read before and after. */
export const isReadTwice = (occasion: Occasion): boolean => occasion === 'board-access' || occasion === 'game-change';

/** A reading that was neither corrected nor taken back. */
export type StandingReadingRow = { id: string; meter_id: string; happened_at: Date; phase: ReadingPhase; occasion: Occasion; value: bigint; confirmed: boolean; passed_end: boolean; collection_id: string | null };

/** A second reading of the same, in the place of the first. One that was taken back and stands again was looked at once. */
const isConfirmed = 'EXISTS (SELECT FROM meter_reading earlier WHERE earlier.tenant_id = r.tenant_id AND earlier.id = r.replaces_id AND earlier.value IS NOT NULL) AS confirmed';
const readingColumns = `r.id, r.meter_id, r.happened_at, r.phase, r.occasion, r.value, ${isConfirmed}, r.passed_end, r.collection_id`;
export const stands = (row: string): string =>
  `${row}.value IS NOT NULL AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = ${row}.tenant_id AND newer.replaces_id = ${row}.id)`;
/**
 * Read at a collection, said so that no index serves it: while a file is the first to bring such readings, the planner's figures say that there
 * are none, and it would look through all of them for each meter.
 */
const ofCollection = (row: string): string => `num_nonnulls(${row}.collection_id) = 1`;
const phaseOrder = `array_position(ARRAY['before', 'only', 'after'], r.phase)`;

/** Of each meter the standing readings next to a moment, on both sides. */
export async function selectNeighbours(tx: TenantTransaction, { meterIds, at }: { readonly meterIds: readonly string[]; readonly at: Date }): Promise<StandingReadingRow[]> {
  const of = (side: string, order: string) =>
    `(SELECT ${readingColumns} FROM meter_reading r WHERE r.tenant_id = $1 AND r.meter_id = wanted.id AND r.happened_at ${side} $3 AND ${stands('r')} ORDER BY r.happened_at ${order}, ${phaseOrder} ${order} LIMIT 1)`;
  const { rows } = await tx.sql<StandingReadingRow>(
    `SELECT near.* FROM unnest($2::uuid[]) AS wanted (id) CROSS JOIN LATERAL (${of('<', 'DESC')} UNION ALL ${of('>', 'ASC')}) near`,
    [tx.tenantId, meterIds, at],
  );
  return rows;
}

export type ReadAt = { readonly meter_id: string; readonly occasion: Occasion; readonly value: bigint | null };

/** Meters of these that were read at the moment, with what stands of it: null where nothing does. A collection that was discarded read none. */
export async function selectReadAt(tx: TenantTransaction, { meterIds, at }: { readonly meterIds: readonly string[]; readonly at: Date }): Promise<ReadonlyMap<string, ReadAt>> {
  const { rows } = await tx.sql<ReadAt>(
    `SELECT DISTINCT ON (r.meter_id) r.meter_id, r.occasion, CASE WHEN ${stands('r')} THEN r.value END AS value
       FROM meter_reading r LEFT JOIN collection c ON c.tenant_id = r.tenant_id AND c.id = r.collection_id
      WHERE r.tenant_id = $1 AND r.meter_id = ANY ($2::uuid[]) AND r.happened_at = $3 AND c.discarded_at IS NULL
      ORDER BY r.meter_id, ${stands('r')} DESC, ${phaseOrder} DESC`,
    [tx.tenantId, meterIds, at],
  );
  return new Map(rows.map((row) => [row.meter_id, row]));
}

export type NewReading = {
  readonly id: string;
  readonly meterId: string;
  readonly machineId: string;
  readonly capacity: bigint;
  readonly phase: ReadingPhase;
  readonly value: bigint;
  readonly readAgain: boolean;
};

export async function insertReadings(
  tx: TenantTransaction,
  readings: readonly NewReading[],
  occasion: { readonly occasion: Occasion; readonly collectionId: string | null; readonly at: Date; readonly readBy: string | null; readonly now: Date },
): Promise<void> {
  const column = <Value>(value: (reading: NewReading) => Value): Value[] => readings.map(value);
  await tx.sql(
    `INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, collection_id, value, read_again, read_by, recorded_at, recorded_by)
     SELECT $1, r.id, r.meter_id, r.machine_id, r.capacity, $2, r.phase, $3, $4, r.value, r.read_again, $5, $6, $7
       FROM unnest($8::uuid[], $9::uuid[], $10::uuid[], $11::bigint[], $12::text[], $13::bigint[], $14::boolean[]) AS r (id, meter_id, machine_id, capacity, phase, value, read_again)`,
    [
      tx.tenantId,
      occasion.at,
      occasion.occasion,
      occasion.collectionId,
      occasion.readBy,
      occasion.now,
      tx.actor,
      column((r) => r.id),
      column((r) => r.meterId),
      column((r) => r.machineId),
      column((r) => r.capacity),
      column((r) => r.phase),
      column((r) => r.value),
      column((r) => r.readAgain),
    ],
  );
}

export type ReadingRow = {
  id: string;
  meter_id: string;
  happened_at: Date;
  phase: ReadingPhase;
  occasion: Occasion;
  collection_id: string | null;
  site_id: string | null;
  value: bigint | null;
  read_again: boolean;
  passed_end: boolean;
  read_by: string | null;
  replaces_id: string | null;
  replaced_by_id: string | null;
  confirmed: boolean;
  reason: string | null;
  made_alone: boolean;
  recorded_at: Date;
  recorded_by: string;
};

/** Readings of a machine in [from, before), corrected ones too, by moment; and of each meter the standing one before `from`. */
export async function selectReadings(tx: TenantTransaction, list: { readonly machineId: string; readonly from: Date; readonly before: Date }): Promise<ReadingRow[]> {
  const { rows } = await tx.sql<ReadingRow>(
    `SELECT r.id, r.meter_id, r.happened_at, r.phase, r.occasion, r.collection_id, c.site_id, r.value, r.read_again, r.passed_end, r.read_by, r.replaces_id, newer.id AS replaced_by_id,
            ${isConfirmed}, r.reason, ${madeAlone('r')}, r.recorded_at, r.recorded_by
       FROM meter_reading r
       LEFT JOIN collection c ON c.tenant_id = r.tenant_id AND c.id = r.collection_id
       LEFT JOIN meter_reading newer ON newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id
      WHERE r.tenant_id = $1 AND r.machine_id = $2 AND r.happened_at < $4
        AND (r.happened_at >= $3 OR r.id IN (
          SELECT last.id FROM meter m CROSS JOIN LATERAL (
            SELECT r.id FROM meter_reading r WHERE r.tenant_id = m.tenant_id AND r.meter_id = m.id AND r.happened_at < $3 AND ${stands('r')}
             ORDER BY r.happened_at DESC, ${phaseOrder} DESC LIMIT 1) last
           WHERE m.tenant_id = $1 AND m.machine_id = $2))
      ORDER BY r.happened_at, ${phaseOrder}, r.meter_id, r.recorded_at, r.id`,
    [tx.tenantId, list.machineId, list.from, list.before],
  );
  return rows;
}

/** `pairs_with_price`: a reading that parts what is played before from what is played after, and so is never taken back. */
export type CorrectableReading = { id: string; meter_id: string; machine_id: string; happened_at: Date; value: bigint | null; passed_end: boolean; pairs_with_price: boolean; capacity: bigint; digits: number | null; state: string | null; replaced_by_id: string | null; recorded_by: string };

export async function selectCorrectable(tx: TenantTransaction, id: string): Promise<CorrectableReading | null> {
  const { rows } = await tx.sql<CorrectableReading>(
    `SELECT r.id, r.meter_id, r.machine_id, r.happened_at, r.value, r.passed_end, r.occasion IN ('price-change', 'board-access', 'board-fitted', 'board-removed') AS pairs_with_price, r.capacity, m.digits, c.state, newer.id AS replaced_by_id, r.recorded_by
       FROM meter_reading r
       JOIN meter m ON m.tenant_id = r.tenant_id AND m.id = r.meter_id
       LEFT JOIN collection c ON c.tenant_id = r.tenant_id AND c.id = r.collection_id
       LEFT JOIN meter_reading newer ON newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id
      WHERE r.tenant_id = $1 AND r.id = $2`,
    [tx.tenantId, id],
  );
  return rows[0] ?? null;
}

export type ReadOfPrice = { id: string; meter_id: string; value: bigint; read_again: boolean; read_by: string | null; confirmed: boolean; passed_end: boolean };

/** What stands of what was read of a machine at a change of price. */
export async function selectReadOfPrice(tx: TenantTransaction, { machineId, at }: { readonly machineId: string; readonly at: Date }): Promise<ReadOfPrice[]> {
  const { rows } = await tx.sql<ReadOfPrice>(
    `SELECT r.id, r.meter_id, r.value, r.read_again, r.read_by, ${isConfirmed}, r.passed_end FROM meter_reading r WHERE r.tenant_id = $1 AND r.machine_id = $2 AND r.happened_at = $3 AND r.occasion = 'price-change' AND ${stands('r')} ORDER BY r.meter_id`,
    [tx.tenantId, machineId, at],
  );
  return rows;
}

/** Meters of these that stand read otherwise from after one moment up to another one, and whether anybody said of such a reading that the meter passed its last value. */
export async function selectReadBetween(tx: TenantTransaction, { meterIds, from, to }: { readonly meterIds: readonly string[]; readonly from: Date; readonly to: Date }): Promise<{ meter_id: string; passed_end: boolean }[]> {
  const { rows } = await tx.sql<{ meter_id: string; passed_end: boolean }>(
    `SELECT r.meter_id, bool_or(r.passed_end) AS passed_end FROM meter_reading r
      WHERE r.tenant_id = $1 AND r.meter_id = ANY ($2::uuid[]) AND r.happened_at >= least($3::timestamptz, $4) AND r.happened_at <= greatest($3::timestamptz, $4) AND r.happened_at <> $3 AND ${stands('r')}
      GROUP BY r.meter_id`,
    [tx.tenantId, meterIds, from, to],
  );
  return rows;
}

/** Of meters that were read once at a moment, and not at a collection, what took that back: only in its place can a reading of this moment be written. */
export async function selectTakenBack(tx: TenantTransaction, { meterIds, at }: { readonly meterIds: readonly string[]; readonly at: Date }): Promise<ReadonlyMap<string, string>> {
  const { rows } = await tx.sql<{ id: string; meter_id: string }>(
    `SELECT r.id, r.meter_id FROM meter_reading r
      WHERE r.tenant_id = $1 AND r.meter_id = ANY ($2::uuid[]) AND r.happened_at = $3 AND r.phase = 'only' AND r.collection_id IS NULL AND r.value IS NULL
        AND NOT EXISTS (SELECT FROM meter_reading newer WHERE newer.tenant_id = $1 AND newer.replaces_id = r.id)`,
    [tx.tenantId, meterIds, at],
  );
  return new Map(rows.map((row) => [row.meter_id, row.id]));
}

/** Writes a reading in the place of another, which stays as it is. */
export async function insertCorrection(tx: TenantTransaction, correction: { readonly id: string; readonly replacesId: string; readonly value: bigint | null; readonly passedEnd: boolean; readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, collection_id, value, read_again, passed_end, read_by, replaces_id, reason, recorded_at, recorded_by)
     SELECT tenant_id, $2, meter_id, machine_id, capacity, happened_at, phase, occasion, collection_id, $4, read_again, $8, read_by, id, $5, $6, $7
       FROM meter_reading WHERE tenant_id = $1 AND id = $3`,
    [tx.tenantId, correction.id, correction.replacesId, correction.value, correction.reason, correction.now, tx.actor, correction.passedEnd],
  );
}

/** Every site at which the machine ever stood: a machine that was moved yesterday tells of the box that is counted today. */
export async function selectSitesOf(tx: TenantTransaction, machineId: string): Promise<string[]> {
  const { rows } = await tx.sql<{ site_id: string }>('SELECT DISTINCT site_id FROM placement WHERE tenant_id = $1 AND machine_id = $2', [tx.tenantId, machineId]);
  return rows.map((row) => row.site_id);
}

export type CollectionOfReading = { id: string; state: CollectionState; happened_at: Date; site_id: string; stands_here: boolean };

/** A collection, and whether the machine stood at its site on its day. */
export async function selectCollectionOf(tx: TenantTransaction, { collectionId, machineId }: { readonly collectionId: string; readonly machineId: string }): Promise<CollectionOfReading | null> {
  const { rows } = await tx.sql<CollectionOfReading>(
    `SELECT c.id, c.state, c.happened_at, c.site_id, EXISTS (
              SELECT FROM placement p WHERE p.tenant_id = c.tenant_id AND p.machine_id = $3 AND p.site_id = c.site_id
                 AND c.local_date >= p.placed_on AND (p.removed_on IS NULL OR c.local_date <= p.removed_on)) AS stands_here
       FROM collection c WHERE c.tenant_id = $1 AND c.id = $2 FOR SHARE OF c`,
    [tx.tenantId, collectionId, machineId],
  );
  return rows[0] ?? null;
}

/** A machine whose box was emptied; `ended_at`: the end of the day of its removal, where it was taken away from there since. */
export type EmptyingRow = { machine_id: string; happened_at: Date; ended_at: Date | null };

/** Of some collections the machines of which the meters tell: read at it, or in a machine that has left the place since. */
export async function selectEmptyings(tx: TenantTransaction, collectionIds: readonly string[]): Promise<EmptyingRow[]> {
  const { rows } = await tx.sql<EmptyingRow>(
    `SELECT e.machine_id, e.happened_at, max(e.ended_at) AS ended_at
       FROM (SELECT r.machine_id, r.happened_at, NULL::timestamptz AS ended_at FROM meter_reading r
              WHERE r.tenant_id = $1 AND r.collection_id = ANY ($2::uuid[]) AND ${stands('r')}
              UNION ALL
             SELECT b.machine_id, c.happened_at, (p.removed_on + 1)::timestamp AT TIME ZONE s.time_zone
               FROM box_count b
               JOIN placement p ON p.tenant_id = $1 AND p.id = b.placement_id AND p.removed_on IS NOT NULL
               JOIN site s ON s.tenant_id = $1 AND s.id = p.site_id
               JOIN collection c ON c.tenant_id = $1 AND c.id = b.collection_id
              WHERE b.tenant_id = $1 AND b.collection_id = ANY ($2::uuid[])
                AND EXISTS (SELECT FROM counter_board k WHERE k.tenant_id = $1 AND k.machine_id = b.machine_id)) e
      GROUP BY e.machine_id, e.happened_at`,
    [tx.tenantId, collectionIds],
  );
  return rows;
}

/** A reading with the site of its collection; null for every other occasion. */
export type PlacedReadingRow = StandingReadingRow & { site_id: string | null };

/**
 * What {@link expectedCash} reads: see there. `whole_at`: the collection before at which every meter that tells of cash was last read, as what the others counted since waits for
 * one that was not; but for those that were never read again, for which nothing is told yet. The meters of a machine come in arrays, as no index finds its boards. Of a machine that left a place also what was read until then, and the first reading after it, which may have begun at the place.
 */
export async function selectReadingsBehind(tx: TenantTransaction, emptyings: readonly EmptyingRow[]): Promise<PlacedReadingRow[]> {
  const { rows } = await tx.sql<PlacedReadingRow>(
    `WITH wanted AS (SELECT * FROM unnest($2::uuid[], $3::timestamptz[], $4::timestamptz[]) AS w (machine_id, at, ended_at)),
     counting AS MATERIALIZED (
       SELECT k.machine_id, array_agg(m.id) AS meter_ids, array_agg(k.fitted_at) AS fitted, array_agg(coalesce(k.removed_at, 'infinity')) AS removed
         FROM counter_board k JOIN meter m ON m.tenant_id = $1 AND m.board_id = k.id
        WHERE k.tenant_id = $1 AND k.machine_id IN (SELECT machine_id FROM wanted) AND ${countsCash} GROUP BY k.machine_id),
     emptied AS MATERIALIZED (
       SELECT w.*, (SELECT r.happened_at FROM meter_reading r
                WHERE r.tenant_id = $1 AND r.machine_id = w.machine_id AND r.happened_at < w.at AND ${ofCollection('r')} AND ${stands('r')}
                  AND NOT EXISTS (SELECT FROM unnest(counting.meter_ids, counting.fitted, counting.removed) AS m (id, fitted_at, removed_at)
                                   WHERE m.fitted_at <= r.happened_at AND m.removed_at > r.happened_at
                                     AND NOT EXISTS (SELECT FROM meter_reading own WHERE own.tenant_id = $1 AND own.meter_id = m.id AND own.happened_at = r.happened_at AND ${stands('own')})
                                     AND EXISTS (SELECT FROM meter_reading own WHERE own.tenant_id = $1 AND own.meter_id = m.id AND own.happened_at > r.happened_at AND ${stands('own')}))
                ORDER BY r.happened_at DESC LIMIT 1) AS whole_at
         FROM wanted w LEFT JOIN counting ON counting.machine_id = w.machine_id),
     needed AS (
       SELECT m.id, min(coalesce(read.at, '-infinity')) AS from_at, max(greatest(e.at, e.ended_at, later.at)) AS to_at
         FROM emptied e
         JOIN counter_board b ON b.tenant_id = $1 AND b.machine_id = e.machine_id AND b.fitted_at <= e.at
                             AND (b.removed_at IS NULL OR e.whole_at IS NULL OR b.removed_at > e.whole_at)
         JOIN meter m ON m.tenant_id = $1 AND m.board_id = b.id
         LEFT JOIN LATERAL (SELECT max(r.happened_at) AS at FROM meter_reading r
                WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.happened_at <= e.whole_at AND ${ofCollection('r')} AND ${stands('r')}) read ON true
         LEFT JOIN LATERAL (SELECT min(r.happened_at) AS at FROM meter_reading r
                WHERE r.tenant_id = $1 AND r.meter_id = m.id AND r.happened_at >= e.ended_at AND ${stands('r')}) later ON true
        GROUP BY m.id)
     SELECT ${readingColumns}, c.site_id
       FROM needed n JOIN meter_reading r ON r.tenant_id = $1 AND r.meter_id = n.id AND r.happened_at >= n.from_at AND r.happened_at <= n.to_at
       LEFT JOIN collection c ON c.tenant_id = $1 AND c.id = r.collection_id
      WHERE ${stands('r')}`,
    [tx.tenantId, emptyings.map((row) => row.machine_id), emptyings.map((row) => row.happened_at), emptyings.map((row) => row.ended_at)],
  );
  return rows;
}
