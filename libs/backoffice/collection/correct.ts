import type { Collection, CorrectCount } from '#contracts/collection';
import { toAmount } from '#contracts/money';
import { refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import { correctionPostings } from '#domain/journal/collection-postings';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { taken } from '../refusal';
import { assessCollections } from '../variance/assess';
import { bookCorrection, holdForCorrection, checkCorrection, type HeldCollection } from './book-correction';
import { contentsOf, meteredMissing, toContents, wrongContents } from './box-contents';
import { insertCorrection, selectCount, type StandingCount } from './correct.sql';
import { readBack } from './to-collection';

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
      const wrong = wrongCorrection(command, count, held.value);
      if (count === null || wrong.length > 0) return refusedFields('invalid-command', wrong);
      const alone = await checkCorrection({ ...count, what: 'count' }, { row: held.value.row, tx, now });
      if (!alone.ok) return alone;

      const id = command.id ?? deps.newId();
      const corrected = { id, coinMinor: toAmount(command.coin).minor, noteMinor: toAmount(command.note).minor, ...toContents(command, contentsOf(count)) };
      const differenceMinor = corrected.coinMinor + corrected.noteMinor - count.coin_minor - count.note_minor;
      const booked = await bookCorrection(tx, held.value, {
        sourceId: id,
        label: alone.value ? 'count' : null,
        cause: 'correction',
        postings: correctionPostings({ agreementId: held.value.agreement.id, differenceMinor }),
        now,
        newId: deps.newId,
        write: () => insertCorrection(tx, { ...corrected, replacesId: countId, reason, now }),
      });
      if (!booked.ok) return booked;
      if (held.value.row.state === 'accepted') await assessCollections(tx, { collectionIds: [collectionId], now, newId: deps.newId });
      return readBack(tx, collectionId);
    },
    { constraints: { box_count_pkey: taken(['id'], 'a count with this id'), box_count_replaced_once: { code: 'changed-meanwhile' } } },
  );
}

function wrongCorrection(command: CorrectCount, count: StandingCount | null, { row, agreement }: HeldCollection): WrongField[] {
  const { currency, site_code: siteCode } = row;
  const wrong = [
    ...(['coin', 'note'] as const)
      .filter((field) => command[field].currency !== currency)
      .map((field) => ({ path: [field, 'currency'], code: 'other-currency', message: `Site ${siteCode} is kept in ${currency}.` })),
    ...wrongContents(command, [], { siteCode, currency, agreement }),
  ];
  if (count === null) return [{ path: ['countId'], code: 'unknown', message: 'The collection has no count with this id.' }, ...wrong];
  // Before the other figures are right their minor units mean nothing.
  return wrong.length > 0 ? wrong : meteredMissing(toContents(command, contentsOf(count)).meteredMinor, [], agreement);
}
