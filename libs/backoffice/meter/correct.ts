import type { CorrectReading, ReadingCorrected } from '#contracts/meter';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { isCorrectedAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { taken } from '../refusal';
import { followingMeters } from '../variance/follow-meters';
import { tooLarge } from './check-readings';
import { lockMachines } from './meter.sql';
import { insertCorrection, selectCorrectable } from './reading.sql';

const compulsoryWords =
  'On this occasion the meter is always read: without the reading, what was played before would be valued as what was played after. Correct it to what the meter showed.';

/**
 * Writes a value in the place of one that was read wrong, or confirms it by writing the same; the first stays legible, and
 * somebody else than who recorded it does it. What was said of why it went down is said of the value, and stays with it. The answer says nothing of what the meter showed.
 */
export async function correctReading(deps: Backoffice, caller: Caller, command: { readonly readingId: string } & CorrectReading): Promise<Outcome<ReadingCorrected>> {
  const { readingId, value, passedEnd, reason } = command;
  return perform(
    deps,
    caller,
    'meter-reading.correct',
    async ({ tx, now }) => {
      const found = await selectCorrectable(tx, readingId);
      if (found === null) return refused('not-found');
      await lockMachines(tx, [found.machine_id]);
      const row = (await selectCorrectable(tx, readingId)) ?? found;
      if (row.state === 'discarded') return refused('wrong-state', { detail: 'The reading was withdrawn with its collection, which was discarded.' });
      if (row.replaced_by_id !== null) return refused('wrong-state', { detail: 'This reading was corrected already: correct the one that stands in its place.' });
      if (value !== null && BigInt(value) >= row.capacity) return refusedFields('invalid-command', [{ path: ['value'], code: 'too-many-digits', message: tooLarge(row) }]);
      if (value === null && row.pairs_with_price) return refusedFields('invalid-command', [{ path: ['value'], code: 'reading-compulsory', message: compulsoryWords }]);
      const isSame = value !== null && BigInt(value) === row.value;
      if (value !== null && passedEnd === undefined && row.passed_end && !isSame) return refusedFields('invalid-command', [{ path: ['passedEnd'], code: 'say-anew', message: 'Of the value before, somebody said that the meter had passed its last one: say whether that is so of this value.' }]);
      const alone = await isCorrectedAlone(tx, { recordedBy: row.recorded_by, now, detail: 'The reading is your own.' });
      if (!alone.ok) return alone;
      const id = command.id ?? deps.newId();
      return followingMeters(tx, { machineId: row.machine_id, from: row.happened_at, sourceId: id, now, newId: deps.newId }, async () => {
        await insertCorrection(tx, { id, replacesId: row.id, value: value === null ? null : BigInt(value), passedEnd: passedEnd ?? (isSame && row.passed_end), reason, now });
        if (alone.value) await labelRelaxed(tx, { recordId: id, rule: 'second-person', kind: 'meter-reading', now });
        return done({ id, replacesId: row.id, withoutSecondPerson: alone.value });
      });
    },
    { constraints: { meter_reading_pkey: taken(['id'], 'a reading with this id'), meter_reading_replaced_once: { code: 'changed-meanwhile' } } },
  );
}
