import type { CorrectReading, ReadingCorrected } from '#contracts/meter';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { isCorrectedAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { taken } from '../refusal';
import { tooLarge } from './check-readings';
import { insertCorrection, selectCorrectable } from './reading.sql';

/**
 * Writes a value in the place of one that was read wrong, or confirms it by writing the same; the first stays legible, and
 * somebody else than who recorded it does it. The answer says nothing of what the meter showed.
 */
export async function correctReading(deps: Backoffice, caller: Caller, command: { readonly readingId: string } & CorrectReading): Promise<Outcome<ReadingCorrected>> {
  const { readingId, value, reason } = command;
  return perform(
    deps,
    caller,
    'meter-reading.correct',
    async ({ tx, now }) => {
      const row = await selectCorrectable(tx, readingId);
      if (row === null) return refused('not-found');
      if (row.replaced_by_id !== null) return refused('wrong-state', { detail: 'This reading was corrected already: correct the one that stands in its place.' });
      if (value !== null && BigInt(value) >= row.capacity) return refusedFields('invalid-command', [{ path: ['value'], code: 'too-many-digits', message: tooLarge(row) }]);
      const alone = await isCorrectedAlone(tx, { recordedBy: row.recorded_by, now, detail: 'The reading is your own.' });
      if (!alone.ok) return alone;
      const id = command.id ?? deps.newId();
      await insertCorrection(tx, { id, replacesId: row.id, value: value === null ? null : BigInt(value), reason, now });
      if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'meter-reading', now });
      return done({ id, replacesId: row.id, withoutSecondPerson: alone.value });
    },
    { constraints: { meter_reading_pkey: taken(['id'], 'a reading with this id'), meter_reading_replaced_once: { code: 'changed-meanwhile' } } },
  );
}
