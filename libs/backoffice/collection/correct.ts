import type { Collection, CorrectCount } from '#contracts/collection';
import { toAmount } from '#contracts/money';
import { refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import { correctionPostings, withCollector } from '#domain/journal/collection-postings';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { otherCurrency, taken } from '../refusal';
import { assessCollections } from '../variance/assess';
import { bookCorrection, holdForCorrection, checkCorrection, type HeldCollection } from './book-correction';
import { contentsOf, meteredMissing, saidAlready, toContents, typedBesideMeters, typedByCounter, wrongContents } from './box-contents';
import { insertCorrection, selectCount, type StandingCount } from './correct.sql';
import { isSaidByOtherPart, selectMeteredApart } from './metered.sql';
import { followTakenOut, leavesTooLittle } from './taken-out';
import { boxKey, toldByMeters, type Told } from './told';
import { readBackFor } from './to-collection';

/**
 * Writes a figure in the place of one that was wrong; the first stays legible (25 CFR 543.17(g)(12): a correction leaves
 * the original legible, and two people make it). After acceptance somebody else than who recorded the figure does it, the
 * journal gets the difference, and a period that is numbered already is settled again.
 */
export async function correctCount(
  deps: Backoffice,
  caller: Caller,
  command: { readonly collectionId: string } & CorrectCount,
): Promise<Outcome<Collection>> {
  const { collectionId, countId, reason } = command;
  return perform(
    deps,
    caller,
    'collection.correct',
    async (unit) => {
      const { tx, now } = unit;
      const held = await holdForCorrection(unit, collectionId);
      if (!held.ok) return held;
      const count = await selectCount(tx, { collectionId, id: countId });
      const told = count === null ? undefined : (await toldByMeters(tx, [collectionId])).get(boxKey({ collectionId, machineId: count.machine_id }));
      const apart = (await selectMeteredApart(tx, [collectionId])).find(({ machine_id: id }) => id === count?.machine_id);
      const isSaidElsewhere = count?.metered_minor === null && (await isSaidByOtherPart(tx, { collectionId, machineId: count.machine_id, part: count.part }));
      const wrong = wrongCorrection(command, count, { ...held.value, told, isSaidApart: apart !== undefined, isSaidElsewhere });
      if (count === null || wrong.length > 0) return refusedFields('invalid-command', wrong);
      const alone = await checkCorrection({ ...count, what: 'count' }, { row: held.value.row, tx, now });
      if (!alone.ok) return alone;
      // What was typed for the meters is another person's figure than the count, and takes another one than who typed it as well.
      const metered = apart === undefined || command.meteredAmount === undefined ? alone : await checkCorrection({ replaced: false, recorded_by: apart.recorded_by, what: 'metered amount' }, { row: held.value.row, tx, now });
      if (!metered.ok) return metered;

      const id = command.id ?? deps.newId();
      const corrected = { id, coinMinor: toAmount(command.coin).minor, noteMinor: toAmount(command.note).minor, ...toContents(command, contentsOf(count)) };
      const differenceMinor = corrected.coinMinor + corrected.noteMinor - count.coin_minor - count.note_minor;
      if (await leavesTooLittle(tx, held.value.row, -differenceMinor)) {
        return refusedFields('invalid-command', [{ path: ['coin'], code: 'more-than-counted', message: 'More was handed out, refunded and filled out of these boxes than would have been in them.' }]);
      }
      const booked = await bookCorrection(tx, held.value, {
        sourceId: id,
        label: alone.value || metered.value ? 'count' : null,
        cause: 'correction',
        postings: withCollector(correctionPostings({ agreementId: held.value.agreement.id, differenceMinor }), count.at_machine ? held.value.row.collected_by : null),
        now,
        newId: deps.newId,
        write: () => insertCorrection(tx, { ...corrected, replacesId: countId, reason, now }),
      });
      if (!booked.ok) return booked;
      // What nobody put down to a box is shared by what was found in each.
      const followed = await followTakenOut(tx, held.value, { reason, sourceId: id, now, newId: deps.newId });
      if (!followed.ok) return followed;
      if (held.value.row.state === 'accepted') await assessCollections(tx, { collectionIds: [collectionId], now, newId: deps.newId });
      return readBackFor(unit, caller, collectionId);
    },
    { constraints: { box_count_pkey: taken(['id'], 'a count with this id'), box_count_replaced_once: { code: 'changed-meanwhile' } } },
  );
}

function wrongCorrection(command: CorrectCount, count: StandingCount | null, { row, agreement, told, isSaidApart, isSaidElsewhere }: HeldCollection & { readonly told: Told | undefined; readonly isSaidApart: boolean; readonly isSaidElsewhere: boolean }): WrongField[] {
  const { currency, site_code: siteCode } = row;
  const wrong = [
    ...(['coin', 'note'] as const)
      .filter((field) => command[field].currency !== currency)
      .map((field) => otherCurrency([field, 'currency'], `Site ${siteCode} is kept in`, currency)),
    ...wrongContents(command, [], { siteCode, currency, agreement }),
  ];
  const isOpen = row.state !== 'accepted';
  // Until acceptance nobody is told by it which readings fit: of no box but the last one at a site is it asked then.
  if (told !== undefined && ('minor' in told || (isOpen && !told.untold.includes('left-unread')))) wrong.push(...typedBesideMeters(command, []));
  // Until acceptance counters correct their own counts: by that way they say of the meters no more than with the count.
  else if (isOpen && (isSaidApart || count?.metered_minor === null)) wrong.push(...typedByCounter(command, []));
  // Beside what another part says of the same box it would be added up, and paid twice.
  else if (isSaidElsewhere && command.meteredAmount !== undefined) wrong.push(saidAlready(['meteredAmount']));
  if (count === null) return [{ path: ['countId'], code: 'unknown', message: 'The collection has no count with this id.' }, ...wrong];
  if (count.part === 0) return [{ path: ['countId'], code: 'by-receipt', message: 'Nobody counted this: it is what the receipts say was taken out before bagging. Correct the receipt.' }, ...wrong];
  // Before the other figures are right their minor units mean nothing. What recorded meters cannot tell is asked apart from the counts, of who knows it.
  return wrong.length > 0 || told !== undefined || isOpen || isSaidApart || isSaidElsewhere ? wrong : meteredMissing(toContents(command, contentsOf(count)).meteredMinor, [], agreement);
}
