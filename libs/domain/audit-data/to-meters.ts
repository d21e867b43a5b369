/**
 * What a transmission says that the meters of a machine show. A board counts coins and notes by what lies in the box, so
 * coins that went to the tubes are left out, as is the change that is paid out of these. Test vends are made without money
 * and never reached the box. Each figure since the set-up is one running meter; the one since the reset is shown beside.
 */
import type { MeterTender } from '../meters/meter';
import { elementOfFigure, type FigureName } from './elements';
import type { Figures } from './sums';

/** The figure that a meter of a tender shows; null where no element tells of it. */
const figureOfTender: { readonly [tender in MeterTender]: FigureName | null } = { coin: 'toBox', note: 'notesIn', plays: 'cashVends', 'test-plays': null, refunds: null };

type FedMeter = { readonly id: string; readonly tender: MeterTender; readonly capacity: bigint; readonly unitMinor: bigint };
export type FedReading = { readonly meterId: string; readonly element: string; readonly value: bigint };
export type UnfedMeter = { readonly meterId: string; readonly code: 'not-told' | 'not-whole-units' | 'too-large' | 'two-meters'; readonly element: string | null };

/** Amounts of the file in minor units of a currency of so many digits; null where one of them is no whole number of these. */
export function minorOf(value: bigint, { decimals, digits }: { readonly decimals: number; readonly digits: number }): bigint | null {
  if (digits >= decimals) return value * 10n ** BigInt(digits - decimals);
  const factor = 10n ** BigInt(decimals - digits);
  return value % factor === 0n ? value / factor : null;
}

/** What each meter shows, of figures in minor units, and why some are not told of: those are read off the board. */
export function metersFrom(figures: Figures, meters: readonly FedMeter[]): { readings: FedReading[]; unfed: UnfedMeter[] } {
  const readings: FedReading[] = [];
  const unfed: UnfedMeter[] = [];
  for (const meter of meters) {
    const name = figureOfTender[meter.tender];
    const value = name === null ? null : (figures.get(name)?.sinceSetUp ?? null);
    if (name === null || value === null) {
      unfed.push({ meterId: meter.id, code: 'not-told', element: null });
      continue;
    }
    const element = elementOfFigure(name, 'sinceSetUp');
    const units = meter.tender === 'plays' ? value : unitsOf(value, meter.unitMinor);
    // One figure cannot be parted between two meters.
    const alone = meters.filter(({ tender }) => tender === meter.tender).length === 1;
    if (!alone) unfed.push({ meterId: meter.id, code: 'two-meters', element });
    else if (units === null) unfed.push({ meterId: meter.id, code: 'not-whole-units', element });
    else if (units >= meter.capacity) unfed.push({ meterId: meter.id, code: 'too-large', element });
    else readings.push({ meterId: meter.id, element, value: units });
  }
  return { readings, unfed };
}

function unitsOf(minor: bigint, unitMinor: bigint): bigint | null {
  return unitMinor > 0n && minor % unitMinor === 0n ? minor / unitMinor : null;
}
