import { formatInstant } from '#contracts/format';
import type { MeterReading, MeterReadings, MeterReadingsQuery } from '#contracts/meter';
import { moneyOf } from '#contracts/money';
import { done, refused, type Outcome } from '#contracts/outcome';
import { unitsOf } from '#domain/meters/difference';
import { isAcrossPlaces, isBetweenPlaces } from '#domain/meters/belonging';
import { intervalsOf, type MeterInterval } from '#domain/meters/intervals';
import type { Stay } from '#domain/meters/stays';
import type { Caller } from '../caller';
import { refusedWhileSealed } from '../collection/blind';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { isMachine, selectMeters, type MeterRow } from './meter.sql';
import { selectReadings, selectSitesOf, type ReadingRow } from './reading.sql';
import { selectStays } from './stay.sql';
import { groupBy, toMeter, toReading } from './to-board';
import { intervalInWords, shown } from './words';

const YEAR_MS = 366 * 24 * 60 * 60 * 1000;

/**
 * What the meters of a machine showed, by moment, each reading with its interval in words. Not for who counts at one of its
 * sites while a collection there waits.
 */
export function listReadings(deps: Backoffice, caller: Caller, query: { readonly machineId: string } & MeterReadingsQuery): Promise<Outcome<MeterReadings>> {
  const { machineId } = query;
  return perform<MeterReadings>(deps, caller, 'meter-reading.read', async (unit) => {
    const { tx, now } = unit;
    if (!(await isMachine(tx, machineId))) return refused('not-found');
    const sealed = await refusedWhileSealed(unit, caller, await selectSitesOf(tx, machineId), { ofBoxesNow: true });
    if (sealed !== null) return sealed;
    const before = query.before === undefined ? new Date(now.getTime() + 1) : new Date(query.before);
    const from = query.from === undefined ? new Date(before.getTime() - YEAR_MS) : new Date(query.from);
    const meters = new Map((await selectMeters(tx, [machineId])).map((meter) => [meter.id, meter]));
    const rows = await selectReadings(tx, { machineId, from, before });
    const stays = (await selectStays(tx, [machineId])).get(machineId) ?? [];
    const intervals = intervalsByReading(rows, { meters, stays });
    const items = rows.flatMap((row) => {
      const meter = meters.get(row.meter_id);
      return meter === undefined || row.happened_at < from ? [] : [toMeterReading(row, { meter, stays, interval: intervals.get(row.id) ?? null })];
    });
    return done({ items });
  });
}

/** Intervals by the reading in which they end, of readings that stand. */
function intervalsByReading(rows: readonly ReadingRow[], { meters, stays }: { readonly meters: ReadonlyMap<string, MeterRow>; readonly stays: readonly Stay[] }): ReadonlyMap<string, MeterInterval> {
  const standing = rows.flatMap(({ value, ...row }) => (value === null || row.replaced_by_id !== null ? [] : [{ ...row, value }]));
  const intervals = [...groupBy(standing, (row) => row.meter_id)].flatMap(([meterId, readings]) => {
    const meter = meters.get(meterId);
    return meter === undefined ? [] : intervalsOf(toMeter(meter), readings.map((reading) => toReading(reading, stays)));
  });
  return new Map(intervals.map((interval) => [interval.to.id, interval]));
}

function toMeterReading(row: ReadingRow, { meter, stays, interval }: { readonly meter: MeterRow; readonly stays: readonly Stay[]; readonly interval: MeterInterval | null }): MeterReading {
  return {
    id: row.id,
    meterId: row.meter_id,
    meterLabel: meter.label,
    boardId: meter.board_id,
    happenedAt: formatInstant(row.happened_at),
    phase: row.phase,
    occasion: row.occasion,
    collectionId: row.collection_id,
    value: row.value === null ? null : shown(row.value, meter.digits),
    readAgain: row.read_again,
    passedEnd: row.passed_end,
    readBy: row.read_by,
    interval: interval === null ? null : showInterval(interval, { meter, stays }),
    replacesId: row.replaces_id,
    replacedById: row.replaced_by_id,
    reason: row.reason,
    withoutSecondPerson: row.made_alone,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}

function showInterval(interval: MeterInterval, { meter, stays }: { readonly meter: MeterRow; readonly stays: readonly Stay[] }): MeterReading['interval'] {
  const { from, to, difference, valueMinor, acrossPrices, acrossOpening } = interval;
  const { digits, tender, currency } = meter;
  const units = difference.kind === 'above-ceiling' ? difference.units : unitsOf(difference);
  return {
    kind: difference.kind,
    units: units === null ? null : String(units),
    value: valueMinor === null ? null : moneyOf(valueMinor, currency),
    acrossPrices,
    acrossOpening,
    inWorkshop: isBetweenPlaces(interval, stays),
    acrossPlaces: isAcrossPlaces(interval, stays),
    sentence: intervalInWords({ from: shown(from.value, digits), to: shown(to.value, digits), tender, difference, acrossPrices, acrossOpening }),
  };
}
