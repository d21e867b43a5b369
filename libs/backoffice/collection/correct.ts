import type { Collection, CorrectCount } from '#contracts/collection';
import { toAmount } from '#contracts/money';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { correctionPostings } from '#domain/journal/collection-postings';
import { insertLateChanges } from '../agreement/late-change.sql';
import { ensurePeriods } from '../agreement/period';
import { sharePeriodsFrom } from '../agreement/period.sql';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { postEntries } from '../journal/post';
import { perform } from '../perform';
import { taken } from '../refusal';
import { lockCollections, selectCollection, type CollectionRow } from './collection.sql';
import { insertCorrection, selectCount, type StandingCount } from './correct.sql';
import { shareAgreementsOf } from './accept-collections.sql';
import { selectAgreementOn } from './directory.sql';
import { localDay } from './local-day';
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
    async ({ tx, now, refusal }) => {
      const [locked] = await lockCollections(tx, [collectionId]);
      const row = locked === undefined ? null : await selectCollection(tx, collectionId);
      if (row === null) return refused('not-found');
      const refusedHere = refusal({ state: row.state, siteId: row.site_id });
      if (refusedHere !== null) return refusedHere;
      const count = await selectCount(tx, { collectionId, id: countId });
      const wrong = wrongCorrection(command, count, row);
      if (count === null || wrong.length > 0) return refusedFields('invalid-command', wrong);
      if (count.replaced) return refused('wrong-state', { detail: 'This count was corrected already: correct the one that stands in its place.' });
      if (row.state === 'accepted' && count.recorded_by === tx.actor) {
        return refused('second-person-needed', { detail: 'The count is your own and was accepted.' });
      }

      const id = command.id ?? deps.newId();
      const corrected = { id, coinMinor: toAmount(command.coin).minor, noteMinor: toAmount(command.note).minor };
      if (row.state !== 'accepted') {
        await insertCorrection(tx, { ...corrected, replacesId: countId, reason, now });
        return readBack(tx, collectionId);
      }
      const differenceMinor = corrected.coinMinor + corrected.noteMinor - count.coin_minor - count.note_minor;
      const write = () => insertCorrection(tx, { ...corrected, replacesId: countId, reason, now });
      const booked = await bookCorrection(tx, { row, countId: id, differenceMinor, now, newId: deps.newId, write });
      return booked.ok ? readBack(tx, collectionId) : booked;
    },
    { constraints: { box_count_pkey: taken(['id'], 'a count with this id'), box_count_replaced_once: { code: 'changed-meanwhile' } } },
  );
}

function wrongCorrection(command: CorrectCount, count: StandingCount | null, { currency, site_code: siteCode }: CollectionRow): WrongField[] {
  const otherCurrency = (['coin', 'note'] as const)
    .filter((field) => command[field].currency !== currency)
    .map((field) => ({ path: [field, 'currency'], code: 'other-currency', message: `Site ${siteCode} is kept in ${currency}.` }));
  if (count !== null) return otherCurrency;
  return [{ path: ['countId'], code: 'unknown', message: 'The collection has no count with this id.' }, ...otherCurrency];
}

/** Writes a correction of an accepted count with what follows from it, under the locks of the period and the later ones. */
async function bookCorrection(
  tx: TenantTransaction,
  correction: { row: CollectionRow; countId: string; differenceMinor: bigint; now: Date; newId: () => string; write: () => Promise<void> },
): Promise<Outcome<null>> {
  const { row, countId, differenceMinor, now, newId } = correction;
  await shareAgreementsOf(tx, [row.id]);
  const agreement = await selectAgreementOn(tx, { siteId: row.site_id, day: row.accounting_date });
  const [period] = agreement === null ? [] : await ensurePeriods(tx, { days: [{ agreementId: agreement.id, date: row.accounting_date }], newId });
  if (agreement === null || period === null || period === undefined) {
    return refused('no-agreement', { detail: `There are no terms for ${row.site_code} on ${row.accounting_date}.` });
  }
  await sharePeriodsFrom(tx, [period.id]);
  await correction.write();
  await insertLateChanges(tx, { cause: 'correction', sources: [{ sourceId: countId, periodId: period.id }], now });
  await postEntries(tx, {
    recordedAt: now,
    entries: [
      {
        id: newId(),
        // It happens today: the entry of the acceptance stays what it was.
        date: localDay({ instant: now, timeZone: row.time_zone }) ?? row.accounting_date,
        currency: row.currency,
        kind: 'collection-corrected',
        sourceId: countId,
        postings: correctionPostings({ agreementId: agreement.id, differenceMinor }),
      },
    ],
  });
  return done(null);
}
