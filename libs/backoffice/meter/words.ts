import type { Difference } from '#domain/meters/difference';
import type { MeterTender } from '#domain/meters/meter';

const units: { readonly [tender in MeterTender]: readonly [one: string, many: string] } = {
  coin: ['coin unit', 'coin units'],
  note: ['note unit', 'note units'],
  plays: ['play', 'plays'],
  'test-plays': ['test play', 'test plays'],
  refunds: ['unit paid back', 'units paid back'],
};

/** What a meter shows, with its leading zeros. */
export function shown(value: bigint, digits: number | null): string {
  return String(value).padStart(digits ?? 0, '0');
}

/** A difference as a bookkeeper would say it. */
export function intervalInWords(interval: { readonly from: string; readonly to: string; readonly tender: MeterTender; readonly difference: Difference; readonly acrossPrices?: boolean; readonly acrossOpening?: boolean }): string {
  const { from, to, tender, difference, acrossPrices = false, acrossOpening = false } = interval;
  const went = `The meter went from ${from} to ${to}:`;
  const count = (number: bigint): string => `${String(number)} ${units[tender][number === 1n ? 0 : 1]}`;
  if (acrossOpening) return `${went} the board was opened in between, and nobody read it. Enter what it showed before and after.`;
  switch (difference.kind) {
    case 'forward':
      return acrossPrices ? `${went} ${count(difference.units)}. What a unit is worth changed in between: enter what it showed then.` : `${went} ${count(difference.units)}.`;
    case 'rollover':
      return `${went} taken as a rollover of ${count(difference.units)}.`;
    case 'board-open':
      return `The board was open while the meter went from ${from} to ${to}: nothing was played.`;
    case 'reset-or-wrong':
      return `${went} it was set back or read wrong. Record what it showed before and after it was set back, or correct the reading.`;
    case 'rollover-or-reset':
      return `${went} it passed its last value (${count(difference.units)}), was set back, or was read wrong; in this time the machine could have run through all it shows, so that nothing tells. A second person says that it passed its last value, or corrects the reading; or record what it showed before and after it was set back.`;
    case 'above-ceiling':
      return `${went} ${count(difference.units)} are more than the machine can earn in the time. A second person corrects the reading, or confirms it.`;
  }
}
