import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { LocalDate } from '#domain/calendar/local-date';
import { collectionPostings, withCollector } from '#domain/journal/collection-postings';
import { denial } from '#domain/permissions/can';
import type { Caller } from '../caller';
import { bookCorrection, checkCorrection, holdForCorrection, type HeldCollection } from '../collection/book-correction';
import { followTakenOut, leavesTooLittle } from '../collection/taken-out';
import { denialFailure, type Unit } from '../perform';
import { isDoneAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { selectCounters, selectFundPlace } from './move.sql';

/** A change fund that was filled out of the boxes of a collection. `reason` is needed where that corrects takings in the books. */
export type Filling = { readonly collectionId: string; readonly fundId: string; readonly movedOn: LocalDate; readonly amountMinor: bigint; readonly reason: string | undefined };

/** The collection of a filling, held; whether one person does it alone, which is to be labelled; and the reason. */
export type HeldFilling = { readonly held: HeldCollection; readonly alone: boolean; readonly reason: string };

/**
 * Holds the collection out of whose boxes a fund was filled, or says by the field why it cannot have been: the fund stands
 * elsewhere, it was another day, nobody has counted anything yet, or more would have gone out than there was. Boxes that
 * were bagged held what the bags do and everything that was taken out before, so there is no more and less: of an accepted
 * collection the filling corrects the takings, as another count would.
 */
export async function holdForFilling(unit: Unit, caller: Caller, filling: Filling): Promise<Outcome<HeldFilling>> {
  const held = await holdForCorrection(unit, filling.collectionId);
  if (!held.ok) return held;
  const { row } = held.value;
  const fund = await selectFundPlace(unit.tx, filling.fundId);
  const wrong = (path: string, code: string, message: string): Outcome<never> => refusedFields('invalid-command', [{ path: [path], code, message }]);
  if (fund === null || fund.site_id !== row.site_id) return wrong('collectionId', 'other-site', `The fund stands at ${fund?.site_code ?? 'another site'}, and these boxes at ${row.site_code}.`);
  if (filling.movedOn !== row.local_date) return wrong('movedOn', 'other-day', `These boxes were emptied on ${row.local_date}.`);
  if (row.bagged && row.state === 'accepted') return holdForCorrectedTakings(unit, caller, { held: held.value, reason: filling.reason });
  if (!row.bagged && row.state === 'open') return wrong('collectionId', 'not-counted', 'Nothing of this collection is counted yet. Note its bags first, or enter its counts.');
  if (await leavesTooLittle(unit.tx, row, filling.amountMinor)) return wrong('amount', 'more-than-counted', 'More would have gone out of these boxes than was in them, with what was handed over, refunded and filled before.');
  return done({ held: held.value, alone: false, reason: filling.reason ?? 'A change fund was filled out of these boxes.' });
}

/**
 * Takings that are in the books are corrected by whoever may correct a count, with a reason, and by somebody else than those
 * who counted and accepted them (25 CFR 543.17(g)(12): two people make a correction).
 */
async function holdForCorrectedTakings(unit: Unit, caller: Caller, filling: { readonly held: HeldCollection; readonly reason: string | undefined }): Promise<Outcome<HeldFilling>> {
  const { held, reason } = filling;
  const { row } = held;
  const denied = refusedToCorrect(caller, held);
  if (denied !== null) return denied;
  if (reason === undefined) return refusedFields('invalid-command', [{ path: ['reason'], code: 'missing', message: 'This collection was accepted, and the filling adds to its takings: say why.' }]);
  const alone = await isDoneAlone(unit.tx, { recordedBy: await selectCounters(unit.tx, row.id), now: unit.now, detail: 'You counted or accepted this collection, and the filling adds to its takings: somebody else records it.' });
  return alone.ok ? done({ held, alone: alone.value, reason }) : alone;
}

function refusedToCorrect(caller: Caller, { row }: HeldCollection): Outcome<never> | null {
  const denied = denial(caller, 'collection.correct', { state: row.state, siteId: row.site_id });
  return denied === null ? null : { ok: false, failure: denialFailure(denied, 'collection.correct', row.state) };
}

/** `cashWith`: the collector out of whose cash it went, or null for the room's. */
type Change = HeldFilling & { readonly cashWith: string | null; readonly sourceId: string; readonly date: LocalDate; readonly differenceMinor: bigint; readonly now: Date; readonly newId: () => string; readonly write: () => Promise<void> };

/**
 * Writes a filling, or that it is taken back, with what follows of it for its collection: the takings of boxes that were
 * bagged go with it, settled again where their period is numbered, and booked on the day of the filling's own entry. Of boxes
 * that were counted whole nothing changes.
 */
export async function bookFilling(unit: Unit, change: Change): Promise<Outcome<null>> {
  const { held, reason, now, newId, sourceId, date, write } = change;
  const { row, agreement } = held;
  if (!row.bagged) {
    await write();
    return done(null);
  }
  const postings = withCollector(collectionPostings({ agreementId: agreement.id, countedMinor: change.differenceMinor, handed: [], refundsByOperatorMinor: 0n }), change.cashWith);
  const booked = await bookCorrection(unit.tx, held, { sourceId, label: null, cause: 'correction', postings, date, now, newId, write });
  if (!booked.ok) return booked;
  const followed = await followTakenOut(unit.tx, held, { reason, sourceId, now, newId });
  if (!followed.ok) return followed;
  if (change.alone) for (const recordId of followed.value) await labelRelaxed(unit.tx, { recordId, rule: 'second-person', kind: 'count', now });
  return done(null);
}

/**
 * The collection of a filling that is to be taken back, held, and whether one person does it alone. Where that changes
 * takings that are in the books, it is a correction of them, and takes a second person.
 */
export async function holdForTakingBack(unit: Unit, caller: Caller, filling: { readonly collectionId: string; readonly recordedBy: string; readonly reason: string }): Promise<Outcome<HeldFilling>> {
  const held = await holdForCorrection(unit, filling.collectionId);
  if (!held.ok) return held;
  const { row } = held.value;
  if (!row.bagged) return done({ held: held.value, alone: false, reason: filling.reason });
  const denied = row.state === 'accepted' ? refusedToCorrect(caller, held.value) : null;
  if (denied !== null) return denied;
  const alone = await checkCorrection({ replaced: false, recorded_by: filling.recordedBy, what: 'filling' }, { row, tx: unit.tx, now: unit.now });
  return alone.ok ? done({ held: held.value, alone: alone.value, reason: filling.reason }) : alone;
}
