import type { Collection, CorrectHanded } from '#contracts/collection';
import { toAmount } from '#contracts/money';
import { refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import { collectionPostings } from '#domain/journal/collection-postings';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { taken } from '../refusal';
import { bookCorrection, holdForCorrection, checkCorrection, type HeldCollection } from './book-correction';
import { insertHandedCorrection, selectHandedOut, type StandingHanded } from './correct.sql';
import { readBack } from './to-collection';

/**
 * Writes an amount in the place of one that was handed over; the first stays legible. What was set off in a numbered
 * settlement is set off by the difference in the next one.
 */
export async function correctHanded(deps: Backoffice, caller: Caller, command: { readonly collectionId: string } & CorrectHanded): Promise<Outcome<Collection>> {
  const { collectionId, cashHandedId, reason } = command;
  return perform(
    deps,
    caller,
    'collection.correct',
    async (unit) => {
      const { tx, now } = unit;
      const held = await holdForCorrection(unit, collectionId);
      if (!held.ok) return held;
      const { row, agreement } = held.value;
      const handed = await selectHandedOut(tx, { collectionId, id: cashHandedId });
      const wrong = wrongAmount(command, handed, held.value);
      if (handed === null || wrong.length > 0) return refusedFields('invalid-command', wrong);
      const alone = await checkCorrection({ ...handed, what: 'hand-out' }, { row, tx, now });
      if (!alone.ok) return alone;

      const id = command.id ?? deps.newId();
      const amountMinor = toAmount(command.amount).minor;
      const difference = { party: handed.party_id, amountMinor: amountMinor - handed.amount_minor };
      const booked = await bookCorrection(tx, held.value, {
        sourceId: id,
        label: alone.value ? 'cash-handed' : null,
        cause: 'handed',
        postings: collectionPostings({ agreementId: agreement.id, countedMinor: 0n, handed: [difference], refundsByOperatorMinor: 0n }),
        now,
        newId: deps.newId,
        write: () => insertHandedCorrection(tx, { id, replacesId: handed.id, amountMinor, acknowledgedBy: command.acknowledgedBy ?? handed.acknowledged_by, reason, now }),
      });
      return booked.ok ? readBack(tx, collectionId) : booked;
    },
    { constraints: { cash_handed_pkey: taken(['id'], 'a hand-out with this id'), cash_handed_replaced_once: { code: 'changed-meanwhile' } } },
  );
}

function wrongAmount({ amount }: CorrectHanded, handed: StandingHanded | null, { row }: HeldCollection): WrongField[] {
  const wrong: WrongField[] = handed === null ? [{ path: ['cashHandedId'], code: 'unknown', message: 'The collection has no hand-out with this id.' }] : [];
  if (amount.currency !== row.currency) wrong.push({ path: ['amount', 'currency'], code: 'other-currency', message: `Site ${row.site_code} is kept in ${row.currency}.` });
  if (handed === null || wrong.length > 0) return wrong;
  const left = row.handed_minor - (handed.replaced ? 0n : handed.amount_minor);
  if (left + toAmount(amount).minor <= row.counted_minor) return [];
  return [{ path: ['amount'], code: 'more-than-counted', message: 'More would have been handed out than came out of the boxes.' }];
}
