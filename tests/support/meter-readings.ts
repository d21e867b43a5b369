import { capacityOf, type Board, type Meter, type MeterTender, type Reading } from '#domain/meters/meter';

export const HOUR_MS = 3_600_000;
export type MeterOf = Board['meters'][number];

/** A meter of five digits: of quarters, or of notes of one. */
export const meter = (tender: MeterTender, readings: readonly Reading[], fields: Partial<Meter> = {}): MeterOf => ({
  id: tender,
  tender,
  secondOf: null,
  capacity: capacityOf(5),
  unitValues: [{ fromMs: 0, minor: tender === 'note' ? 100n : 25n }],
  openedMs: [],
  mostPerHour: 100n,
  readings,
  ...fields,
});
/** A reading at an hour. */
export const at = (hours: number, value: bigint, fields: Partial<Reading> = {}): Reading => ({ id: `${String(hours)} ${fields.phase ?? 'only'}`, atMs: hours * HOUR_MS, phase: 'only', value, confirmed: false, passedEnd: false, collectionId: null, placementId: null, ...fields });
export const board = (meters: readonly MeterOf[], fields: Partial<Board> = {}): Board => ({ id: 'board', fittedMs: 0, removedMs: null, meters, ...fields });
