import { formatInstant } from '#contracts/format';
import { done, refused, refusedFields, underField, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { RecordScaleCheck, ScaleCheck, ScaleCheckListQuery } from '#contracts/tally';
import type { TenantTransaction } from '#database/tenant';
import { scaleShowsRight } from '#domain/counting/scale';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { taken } from '../refusal';
import { insertScaleCheck, listScaleCheckRows, selectScaleCheck, type ScaleCheckRow } from './scale-check.sql';
import { toGrams, toMilligrams } from './weight';

/** A scale drifts, and a tray is left on it: a check serves the counts of the day after it. */
const SERVES_MS = 24 * 60 * 60 * 1000;

/** Notes what a scale showed for a known weight; one that showed wrong is on record, too. */
export async function recordScaleCheck(deps: Backoffice, caller: Caller, command: RecordScaleCheck): Promise<Outcome<ScaleCheck>> {
  return perform(
    deps,
    caller,
    'scale-check.record',
    async ({ tx, now }) => {
      const happenedAt = momentOf(command.happenedAt, { now, field: 'happenedAt' });
      if (!happenedAt.ok) return happenedAt;
      const id = command.id ?? deps.newId();
      const weights = { referenceMilligrams: toMilligrams(command.referenceGrams), shownMilligrams: toMilligrams(command.shownGrams) };
      await insertScaleCheck(tx, { id, scale: command.scale, ...weights, happenedAt: happenedAt.value, now });
      const row = await selectScaleCheck(tx, id);
      if (row === null) throw new Error(`scale check ${id} is gone`);
      return done(toScaleCheck(row));
    },
    { constraints: { scale_check_pkey: taken(['id'], 'a scale check with this id') } },
  );
}

export async function listScaleChecks(deps: Backoffice, caller: Caller, query: ScaleCheckListQuery): Promise<Outcome<Page<ScaleCheck>>> {
  return perform<Page<ScaleCheck>>(deps, caller, 'scale-check.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.datetime(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await listScaleCheckRows(tx, { after, limit: query.limit + 1 });
    return done(toPage({ rows, limit: query.limit, item: toScaleCheck, keyOf: (row) => [row.happened_at.toISOString(), row.id] }));
  });
}

/** The check that came with a visit; visits of one day bring the same one, and it is on record once. */
export async function noteScaleCheck(tx: TenantTransaction, check: RecordScaleCheck & { readonly id: string }, now: Date): Promise<Outcome<string>> {
  const moment = momentOf(check.happenedAt, { now, field: 'happenedAt' });
  if (!moment.ok) return underField('scaleCheck', moment);
  const happenedAt = moment.value;
  const weights = { referenceMilligrams: toMilligrams(check.referenceGrams), shownMilligrams: toMilligrams(check.shownGrams) };
  const known = await selectScaleCheck(tx, check.id);
  if (known === null) await insertScaleCheck(tx, { id: check.id, scale: check.scale, ...weights, happenedAt, now });
  else if (known.scale !== check.scale || known.reference_milligrams !== weights.referenceMilligrams || known.shown_milligrams !== weights.shownMilligrams) {
    return refusedFields('already-exists', [{ path: ['scaleCheck', 'id'], code: 'taken', message: 'This id belongs to another check of a scale.' }]);
  }
  return done(check.id);
}

/** Whether counts that were made at a moment may go by the scale that was checked so; false when no check is named. */
export async function isScaleChecked(tx: TenantTransaction, check: { readonly id: string | undefined; readonly countedAt: Date }): Promise<Outcome<boolean>> {
  if (check.id === undefined) return done(false);
  const wrong = (code: string, message: string): Outcome<boolean> => refusedFields('invalid-command', [{ path: ['scaleCheckId'], code, message }]);
  const row = await selectScaleCheck(tx, check.id);
  if (row === null) return wrong('unknown', 'There is no scale check with this id.');
  if (!scaleShowsRight(weightsOf(row))) return wrong('scale-shows-wrong', `Scale ${row.scale} showed ${toGrams(row.shown_milligrams)} g for ${toGrams(row.reference_milligrams)} g. Set it right and check it again.`);
  if (row.happened_at > check.countedAt) return wrong('scale-check-too-late', `Scale ${row.scale} was checked only after this was counted. Weigh again on a scale that was checked, or count the pieces.`);
  if (check.countedAt.getTime() - row.happened_at.getTime() > SERVES_MS) return wrong('scale-check-too-old', `Scale ${row.scale} was not checked within a day of the count. Check it again.`);
  return done(true);
}

function weightsOf(row: ScaleCheckRow) {
  return { referenceMilligrams: row.reference_milligrams, shownMilligrams: row.shown_milligrams };
}

function toScaleCheck(row: ScaleCheckRow): ScaleCheck {
  return {
    id: row.id,
    scale: row.scale,
    referenceGrams: toGrams(row.reference_milligrams),
    shownGrams: toGrams(row.shown_milligrams),
    right: scaleShowsRight(weightsOf(row)),
    happenedAt: formatInstant(row.happened_at),
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
