import type { Collection, CorrectSlip } from '#contracts/collection';
import { toAmount } from '#contracts/money';
import { refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import { collectionPostings, withCollector } from '#domain/journal/collection-postings';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { otherCurrency, taken } from '../refusal';
import { followCorrectedSlip } from '../refund-claim/take-over.sql';
import { bookCorrection, holdForCorrection, checkCorrection } from './book-correction';
import { selectCashWith } from './cash-place.sql';
import { coinsAfter, wrongCoinsAfter } from './corrected-coins';
import { insertSlipCorrection, selectSlip } from './correct.sql';
import { followTakenOut, leavesTooLittle } from './taken-out';
import { readBackFor } from './to-collection';

/**
 * Writes a slip in the place of one that was wrong; the first stays legible. What the operator's people gave back came out
 * of the operator's cash, so the journal gets the difference; what the site gave back is settled with it.
 */
export async function correctSlip(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & CorrectSlip): Promise<Outcome<Collection>> {
  const { collectionId, refundSlipId, amount, reason } = command;
  return perform(
    deps,
    caller,
    'collection.correct',
    async (unit) => {
      const { tx, now } = unit;
      const held = await holdForCorrection(unit, collectionId);
      if (!held.ok) return held;
      const { row, agreement } = held.value;
      const slip = await selectSlip(tx, { collectionId, id: refundSlipId });
      const wrong: WrongField[] = [];
      if (slip === null) wrong.push({ path: ['refundSlipId'], code: 'unknown', message: 'The collection has no slip with this id.' });
      if (amount.currency !== row.currency) wrong.push(otherCurrency(['amount', 'currency'], `Site ${row.site_code} is kept in`, row.currency));
      wrong.push(...wrongCoinsAfter(command, slip, row));
      if (slip === null || wrong.length > 0) return refusedFields('invalid-command', wrong);
      const corrected = { amountMinor: toAmount(amount).minor, paidBy: command.paidBy ?? slip.paid_by, coinMinor: coinsAfter(command, slip) };
      const byOperatorMinor = (figure: { paidBy: string; amountMinor: bigint }): bigint => (figure.paidBy === 'operator' ? figure.amountMinor : 0n);
      const differenceMinor = byOperatorMinor(corrected) - byOperatorMinor({ paidBy: slip.paid_by, amountMinor: slip.amount_minor });
      if (!slip.replaced && (await leavesTooLittle(tx, row, differenceMinor))) {
        return refusedFields('invalid-command', [{ path: ['amount'], code: 'more-than-counted', message: 'More would have been refunded, handed out and filled out of these boxes than was in them.' }]);
      }
      const alone = await checkCorrection({ ...slip, what: 'slip' }, { row, tx, now });
      if (!alone.ok) return alone;

      const id = command.id ?? deps.newId();
      const booked = await bookCorrection(tx, held.value, {
        sourceId: id,
        label: alone.value ? 'refund-slip' : null,
        cause: 'correction',
        // Bags do not hold what was given back out of the boxes: the room found the same, and the box held the difference.
        postings: withCollector(collectionPostings({ agreementId: agreement.id, countedMinor: row.bagged ? differenceMinor : 0n, handed: [], refundsByOperatorMinor: differenceMinor }), await selectCashWith(tx, { collectionId, machineId: slip.machine_id })),
        now,
        newId: deps.newId,
        write: async () => {
          await insertSlipCorrection(tx, { id, replacesId: slip.id, ...corrected, reason, now });
          await followCorrectedSlip(tx, { id, replacesId: slip.id, ...corrected, ofFile: row.import_file_id !== null });
        },
      });
      const followed = booked.ok ? await followTakenOut(tx, held.value, { reason, sourceId: id, now, newId: deps.newId }) : booked;
      return followed.ok ? readBackFor(unit, caller, collectionId) : followed;
    },
    { constraints: { refund_slip_pkey: taken(['id'], 'a slip with this id'), refund_slip_replaced_once: { code: 'changed-meanwhile' } } },
  );
}
