import type { Collection, EnterLateCount, UncountedBox, UncountedBoxListQuery } from '#contracts/collection';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { Failure } from '#contracts/problem';
import { correctionPostings } from '#domain/journal/collection-postings';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { isDoneAlone } from '../policy/policy';
import { assessCollections } from '../variance/assess';
import { bookCorrection, holdForCorrection } from './book-correction';
import { collectionConstraints } from './create';
import { insertLateCount } from './late-count.sql';
import { resolveEntries } from './resolve-entries';
import { followTakenOut } from './taken-out';
import { readBackFor } from './to-collection';
import { selectUncounted, selectUncountedAccepted } from './uncounted.sql';

/** Boxes that were opened at collections in the books, and of which nobody said what was in them; the latest first. */
export function listUncountedBoxes(deps: Backoffice, caller: Caller, query: UncountedBoxListQuery): Promise<Outcome<{ items: UncountedBox[] }>> {
  return perform(deps, caller, 'uncounted-box.read', async ({ tx }) => {
    const rows = await selectUncountedAccepted(tx, { collectionId: query.collectionId ?? null, limit: MOST });
    return done({ items: rows.map((row) => ({ collectionId: row.collection_id, siteCode: row.site_code, localDate: row.local_date, machineTag: row.machine_tag, evidence: row.why })) });
  });
}

/** As many as somebody would work through. */
const MOST = 200;

/**
 * Enters the count of a box that was opened at a collection and not counted before that was accepted. It is a correction of
 * the books: the journal gets the amount, a period that is numbered already is settled by difference, the box is compared
 * with its meters, and whoever accepted the collection without it does not enter it alone.
 */
export function enterLateCount(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & EnterLateCount): Promise<Outcome<Collection>> {
  const { collectionId, reason, ...entry } = command;
  return perform<Collection>(
    deps,
    caller,
    'collection.count-late',
    async (unit) => {
      const { tx, now } = unit;
      const held = await holdForCorrection(unit, collectionId);
      if (!held.ok) return held;
      const { row, agreement } = held.value;
      const uncounted = await selectUncounted(tx, [collectionId]);
      if (!uncounted.some(({ machine_tag: tag }) => tag === entry.machineTag)) {
        return refusedFields('invalid-command', [{ path: ['machineTag'], code: 'not-uncounted', message: 'Nothing says that this box was opened there and not counted. A count that is wrong is corrected; cash of another visit is entered with that.' }]);
      }
      const alone = await isDoneAlone(tx, { recordedBy: row.accepted_by === null ? [] : [row.accepted_by], now, detail: 'You accepted this collection without the count: somebody else enters it.' });
      if (!alone.ok) return alone;
      const place = { collectionId, site: { id: row.site_id, code: row.site_code, currency: row.currency }, happenedAt: row.happened_at, localDate: row.local_date, accountingDate: row.accounting_date, bagged: row.bagged };
      const entries = await resolveEntries(tx, { counts: [{ ...entry, part: 1, readings: [], unread: [] }], refunds: [], cashHanded: [] }, { ...place, now, newId: deps.newId });
      if (!entries.ok) return atTop(entries.failure);
      const [count] = entries.value.counts;
      if (count === undefined) throw new Error('a count that was checked is gone');
      const booked = await bookCorrection(tx, held.value, {
        sourceId: count.id,
        label: alone.value ? 'count' : null,
        cause: 'correction',
        postings: correctionPostings({ agreementId: agreement.id, differenceMinor: count.coinMinor + count.noteMinor }),
        now,
        newId: deps.newId,
        write: () => insertLateCount(tx, count, { reason, now }),
      });
      if (!booked.ok) return booked;
      const followed = await followTakenOut(tx, held.value, { reason, sourceId: count.id, now, newId: deps.newId });
      if (!followed.ok) return followed;
      await assessCollections(tx, { collectionIds: [collectionId], now, newId: deps.newId });
      return readBackFor(unit, caller, collectionId);
    },
    { constraints: { ...collectionConstraints, box_count_part_once: { code: 'changed-meanwhile' } } },
  );
}

/** The one count is the request itself, and no entry of a list in it. */
function atTop(failure: Failure): Outcome<never> {
  const errors = failure.errors?.map((error) => ('pointer' in error ? { ...error, pointer: error.pointer.replace('#/counts/0/', '#/') } : error));
  return { ok: false, failure: { ...failure, ...(errors === undefined ? {} : { errors }) } };
}
