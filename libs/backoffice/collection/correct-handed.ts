import type { Collection, CorrectHanded } from '#contracts/collection';
import { toAmount } from '#contracts/money';
import { refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { collectionPostings, takenFromOther, withCollector } from '#domain/journal/collection-postings';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { otherCurrency, taken } from '../refusal';
import { bookCorrection, holdForCorrection, checkCorrection, type HeldCollection } from './book-correction';
import { selectCashWith } from './cash-place.sql';
import { boxOfHanded, machinesOf } from './check-entries';
import type { CollectionRow } from './collection.sql';
import { coinsAfter, wrongCoinsAfter } from './corrected-coins';
import { insertHandedCorrection, selectHandedOut, type StandingHanded } from './correct.sql';
import { shareMachinePlacements } from './directory.sql';
import type { HandedBox } from './record-collections';
import { followTakenOut, leavesTooLittle } from './taken-out';
import { readBackFor } from './to-collection';

/**
 * Writes an amount in the place of one that was handed over; the first stays legible. What was set off in a numbered
 * settlement is set off by the difference in the next one. Where the boxes were bagged, the takings go with it.
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
      const box = handed === null ? null : await boxAfter(tx, command, { handed, row });
      const wrong = [...wrongAmount(command, handed, held.value), ...(Array.isArray(box) ? box : [])];
      if (handed === null || Array.isArray(box) || wrong.length > 0) return refusedFields('invalid-command', wrong);
      const amountMinor = toAmount(command.amount).minor;
      const difference = { party: handed.party_id, amountMinor: amountMinor - handed.amount_minor };
      if (!handed.replaced && (await leavesTooLittle(tx, row, difference.amountMinor))) {
        return refusedFields('invalid-command', [{ path: ['amount'], code: 'more-than-counted', message: 'More would have been handed out, refunded and filled out of these boxes than was in them.' }]);
      }
      const alone = await checkCorrection({ ...handed, what: 'hand-out' }, { row, tx, now });
      if (!alone.ok) return alone;

      const id = command.id ?? deps.newId();
      const [cashWith, cashWithBefore] = [await selectCashWith(tx, { collectionId, machineId: box?.machineId ?? null }), await selectCashWith(tx, { collectionId, machineId: handed.machine_id })];
      const booked = await bookCorrection(tx, held.value, {
        sourceId: id,
        label: alone.value ? 'cash-handed' : null,
        cause: 'handed',
        // The room found the same in the bags, so the box held the difference; where whole boxes were counted it is missing of their cash.
        postings: takenFromOther(withCollector(collectionPostings({ agreementId: agreement.id, countedMinor: row.bagged ? difference.amountMinor : 0n, handed: [difference], refundsByOperatorMinor: 0n }), cashWith), {
          amountMinor: handed.amount_minor, before: cashWithBefore, now: cashWith,
        }),
        now,
        newId: deps.newId,
        write: () => insertHandedCorrection(tx, { id, replacesId: handed.id, amountMinor, acknowledgedBy: command.acknowledgedBy ?? handed.acknowledged_by, box, coinMinor: coinsAfter(command, handed), reason, now }),
      });
      const followed = booked.ok ? await followTakenOut(tx, held.value, { reason, sourceId: id, now, newId: deps.newId }) : booked;
      return followed.ok ? readBackFor(unit, caller, collectionId) : followed;
    },
    { constraints: { cash_handed_pkey: taken(['id'], 'a hand-out with this id'), cash_handed_replaced_once: { code: 'changed-meanwhile' } } },
  );
}

/** The box that it came out of, with what the correction says of it. */
async function boxAfter(tx: TenantTransaction, { machineTag }: CorrectHanded, { handed, row }: { readonly handed: StandingHanded; readonly row: CollectionRow }): Promise<HandedBox | null | WrongField[]> {
  if (machineTag === null) return null;
  if (machineTag === undefined) return handed.placement_id === null || handed.machine_id === null ? null : { placementId: handed.placement_id, machineId: handed.machine_id };
  const machines = machinesOf(await shareMachinePlacements(tx, { tags: [machineTag], placementIds: [] }));
  return boxOfHanded(machineTag, [], machines, { siteId: row.site_id, siteCode: row.site_code, localDate: row.local_date });
}

function wrongAmount(command: CorrectHanded, handed: StandingHanded | null, { row }: HeldCollection): WrongField[] {
  const { amount } = command;
  const wrong: WrongField[] = handed === null ? [{ path: ['cashHandedId'], code: 'unknown', message: 'The collection has no hand-out with this id.' }] : [];
  if (amount.currency !== row.currency) wrong.push(otherCurrency(['amount', 'currency'], `Site ${row.site_code} is kept in`, row.currency));
  wrong.push(...wrongCoinsAfter(command, handed, row));
  return wrong;
}
