/**
 * What a transmission says that the meters of a machine show. A board counts coins and notes by what lies in the box, so
 * coins that went to the tubes are left out, as is the change that is paid out of these. Each figure since the set-up is one
 * running meter; the one since the reset is shown beside.
 *
 * Test vends are made without money, so no figure of cash or of sales has them. A board with a meter of test plays has: its
 * plays or coins are counted with the tests, which are taken off again. Such a meter is told with the test vends added, by
 * number where plays stand for cash and by value otherwise, so that what is left is what the file says lies in the box.
 */
import { electronicCapacity, type MeterTender } from '../meters/meter';
import { elementOfFigure, type FigureName } from './elements';
import type { Figures } from './sums';

/** The figure that a meter of a tender shows; null where no element tells of it. */
const figureOfTender: { readonly [tender in Exclude<MeterTender, 'test-plays'>]: FigureName | null } = { coin: 'toBox', note: 'notesIn', plays: 'cashVends', refunds: null };

type FedMeter = { readonly id: string; readonly tender: MeterTender; readonly secondOf: string | null; readonly capacity: bigint; readonly unitMinor: bigint };
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
    const told = isToldByOther(meter, meters) ? null : toldOf(meter, { figures, meters });
    if (told === null) {
      unfed.push({ meterId: meter.id, code: 'not-told', element: null });
      continue;
    }
    const { element, value, isNumber } = told;
    const units = isNumber ? value : unitsOf(value, meter.unitMinor);
    // One figure cannot be parted between two meters.
    const alone = meters.filter((other) => other.tender === meter.tender && !isToldByOther(other, meters)).length === 1;
    if (!alone) unfed.push({ meterId: meter.id, code: 'two-meters', element });
    else if (units === null) unfed.push({ meterId: meter.id, code: 'not-whole-units', element });
    else if (units >= meter.capacity) unfed.push({ meterId: meter.id, code: 'too-large', element });
    else readings.push({ meterId: meter.id, element, value: units });
  }
  return { readings, unfed };
}

/** Of two counters of the same cash the file tells of the electronic one; of two alike of the first. */
function isToldByOther(meter: FedMeter, meters: readonly FedMeter[]): boolean {
  const isElectronic = ({ capacity }: FedMeter): boolean => capacity === electronicCapacity;
  const tellsSecond = (first: FedMeter, second: FedMeter): boolean => isElectronic(second) && !isElectronic(first);
  if (meter.secondOf === null) return meters.some((second) => second.secondOf === meter.id && tellsSecond(meter, second));
  const first = meters.find(({ id }) => id === meter.secondOf);
  return first !== undefined && !tellsSecond(first, meter);
}

type Told = { readonly element: string; readonly value: bigint; readonly isNumber: boolean };

function toldOf({ tender }: FedMeter, { figures, meters }: { readonly figures: Figures; readonly meters: readonly FedMeter[] }): Told | null {
  const counts = (kind: MeterTender) => meters.some((meter) => meter.tender === kind);
  // Coins take the tests where a board counts coins, as with what is expected; notes only on a board that counts notes alone.
  const taker: MeterTender = counts('coin') ? 'coin' : counts('note') ? 'note' : 'plays';
  const tests = figureOf(figures, taker === 'plays' ? 'testVendsMade' : 'testVends');
  if (tender === 'test-plays') return tests === null ? null : { ...tests, isNumber: taker === 'plays' };
  const name = figureOfTender[tender];
  const own = name === null ? null : figureOf(figures, name);
  if (own === null) return null;
  const isNumber = tender === 'plays';
  const withTests = counts('test-plays') && (tender === taker || isNumber) ? figureOf(figures, isNumber ? 'testVendsMade' : 'testVends') : null;
  return withTests === null ? { ...own, isNumber } : { element: `${own.element}+${withTests.element}`, value: own.value + withTests.value, isNumber };
}

function figureOf(figures: Figures, name: FigureName): Omit<Told, 'isNumber'> | null {
  const value = figures.get(name)?.sinceSetUp ?? null;
  return value === null ? null : { element: elementOfFigure(name, 'sinceSetUp'), value };
}

function unitsOf(minor: bigint, unitMinor: bigint): bigint | null {
  return unitMinor > 0n && minor % unitMinor === 0n ? minor / unitMinor : null;
}
