import { done, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { takenOutOfBoxes } from '#domain/counting/taken-out';
import { bookRecords } from '../agreement/book';
import { assessCollections } from '../variance/assess';
import type { HeldCollection } from './book-correction';
import type { CollectionRow } from './collection.sql';
import { insertTakenOut, selectBoxesOfBags, selectTakenReceipts, type TakenCount } from './taken-out.sql';

type Following = { readonly now: Date; readonly newId: () => string };

/**
 * Brings what stands of the boxes of a bagged collection to what its receipts say was taken out of them before, as part 0
 * beside the parts that the room counted: cash handed over, refunds by the operator's people, change funds that were filled.
 * Every box has such a part from its count on, be it 0.00, as an accepted collection takes corrections and nothing new.
 * For a collection that is not accepted; of one whose boxes nobody counted yet there is nothing to write.
 */
export async function writeTakenOut(tx: TenantTransaction, of: Following & { readonly collectionId: string; readonly reason: string | null }): Promise<void> {
  await insertTakenOut(tx, await changedTakenOut(tx, of), of);
}

/**
 * The same for a collection that is held for a correction, whatever its state: one that is in the books is settled again
 * where its period is numbered, and its boxes are compared with their meters again. `reason` and
 * `sourceId` are those of the correction which this follows: it is one change of the period, however many boxes it touches,
 * and the journal's part is in its entry. Says which counts were written.
 */
export async function followTakenOut(tx: TenantTransaction, { row, agreement }: HeldCollection, following: Following & { readonly reason: string; readonly sourceId: string }): Promise<Outcome<readonly string[]>> {
  if (!row.bagged || row.state === 'open') return done([]);
  const of = { ...following, collectionId: row.id };
  const changed = await changedTakenOut(tx, of);
  const ids = changed.map(({ id }) => id);
  if (row.state === 'counted' || changed.length === 0) {
    await insertTakenOut(tx, changed, of);
    return done(ids);
  }
  const records = [{ sourceId: following.sourceId, agreementId: agreement.id, accountingDate: row.accounting_date }];
  const booked = await bookRecords(tx, { records, cause: 'correction', now: following.now, newId: following.newId, write: () => insertTakenOut(tx, changed, of) });
  if (!booked.ok) return booked;
  await assessCollections(tx, { collectionIds: [row.id], now: following.now, newId: following.newId });
  return done(ids);
}

/**
 * Whether a change would leave less than nothing of boxes that were counted whole, `changeMinor` being what it adds to what
 * went out of them or takes off their counts. Bags held what was found and everything that went out before, so that there is
 * no more and less of them.
 */
export async function leavesTooLittle(tx: TenantTransaction, row: CollectionRow, changeMinor: bigint): Promise<boolean> {
  if (row.bagged || changeMinor <= 0n) return false;
  const receipts = await selectTakenReceipts(tx, row.id);
  return receipts.reduce((leftMinor, { amount_minor: minor }) => leftMinor - minor, row.counted_minor) < changeMinor;
}

async function changedTakenOut(tx: TenantTransaction, { collectionId, newId }: Following & { readonly collectionId: string }): Promise<TakenCount[]> {
  const boxes = await selectBoxesOfBags(tx, collectionId);
  const receipts = await selectTakenReceipts(tx, collectionId);
  const taken = takenOutOfBoxes({
    boxes: boxes.map(({ at_machine_coin_minor: coinMinor, at_machine_note_minor: noteMinor, ...box }) => ({
      boxId: box.placement_id,
      coinMinor: box.coin_minor,
      noteMinor: box.note_minor,
      atMachine: coinMinor === null || noteMinor === null ? null : { coinMinor, noteMinor },
    })),
    receipts: receipts.map((receipt) => ({ boxId: receipt.placement_id, amountMinor: receipt.amount_minor, coinMinor: receipt.coin_minor })),
  });
  return boxes.flatMap((box, place): TakenCount[] => {
    const { coinMinor, noteMinor } = taken[place] ?? { coinMinor: 0n, noteMinor: 0n };
    // What the meters imply was entered with the room's count, for the whole box.
    const meteredMinor = box.metered_minor === null ? null : 0n;
    const isThere = box.taken_id !== null && box.taken_coin_minor === coinMinor && box.taken_note_minor === noteMinor && box.taken_metered_minor === meteredMinor;
    return isThere ? [] : [{ id: newId(), placementId: box.placement_id, coinMinor, noteMinor, meteredMinor, replacesId: box.taken_id }];
  });
}
