import type { CounterBoard } from '#contracts/meter';
import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import { unitValueAt, type Board, type Meter, type Reading } from '#domain/meters/meter';
import { stayAt, type Stay } from '#domain/meters/stays';
import type { MeterRow } from './meter.sql';
import type { PlacedReadingRow, StandingReadingRow } from './reading.sql';

/** A meter as the domain reads it. */
export function toMeter(row: MeterRow): Meter {
  return {
    id: row.id,
    tender: row.tender,
    secondOf: row.second_of,
    capacity: row.capacity,
    unitValues: row.unit_values.map(({ fromMs, minor }) => ({ fromMs, minor: BigInt(minor) })),
    openedMs: row.opened_ms,
    mostPerHour: row.most_per_hour,
  };
}

/** A reading with the place where the machine stood; nothing of a place where only neighbours of one meter are compared. */
export function toReading(row: StandingReadingRow & { readonly site_id?: string | null }, stays: readonly Stay[]): Reading {
  const atMs = row.happened_at.getTime();
  const stay = stayAt(stays, { atMs, placing: row.occasion === 'placement', siteId: row.site_id ?? null });
  return { id: row.id, atMs, phase: row.phase, value: row.value, confirmed: row.confirmed, passedEnd: row.passed_end, collectionId: row.collection_id, placementId: stay?.placementId ?? null };
}

/** Boards of one machine with what was read off their meters. */
export function toBoards(meters: readonly MeterRow[], readings: readonly PlacedReadingRow[], stays: readonly Stay[]): Board[] {
  const byMeter = groupBy(readings, ({ meter_id: meterId }) => meterId);
  return boardRows(meters).map(([first, ...rest]) => ({
    id: first.board_id,
    fittedMs: first.fitted_at.getTime(),
    removedMs: first.removed_at?.getTime() ?? null,
    meters: [first, ...rest].map((row) => ({ ...toMeter(row), readings: (byMeter.get(row.id) ?? []).map((reading) => toReading(reading, stays)) })),
  }));
}

/** Boards as answers show them, with what a unit is worth at a moment. */
export function showBoards(meters: readonly MeterRow[], now: Date): CounterBoard[] {
  return boardRows(meters).map(([first, ...rest]) => ({
    id: first.board_id,
    machineId: first.machine_id,
    label: first.board_label,
    fittedAt: formatInstant(first.fitted_at),
    removedAt: first.removed_at === null ? null : formatInstant(first.removed_at),
    meters: [first, ...rest].map((row) => ({
      id: row.id,
      label: row.label,
      tender: row.tender,
      secondOf: row.second_of,
      digits: row.digits,
      unitValue: moneyOf(unitValueAt(toMeter(row), now.getTime()), row.currency),
      mostPerHour: Number(row.most_per_hour),
    })),
  }));
}

/** Whether a board is in its machine at a moment. */
export function isFittedAt(meter: Pick<MeterRow, 'fitted_at' | 'removed_at'>, at: Date): boolean {
  return meter.fitted_at <= at && (meter.removed_at === null || at < meter.removed_at);
}

/** Rows by a key, in their order. */
export function groupBy<Row>(rows: readonly Row[], keyOf: (row: Row) => string): Map<string, [Row, ...Row[]]> {
  const groups = new Map<string, [Row, ...Row[]]>();
  for (const row of rows) {
    const group = groups.get(keyOf(row));
    if (group === undefined) groups.set(keyOf(row), [row]);
    else group.push(row);
  }
  return groups;
}

function boardRows(meters: readonly MeterRow[]): [MeterRow, ...MeterRow[]][] {
  return [...groupBy(meters, ({ board_id: boardId }) => boardId).values()];
}
