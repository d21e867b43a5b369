import type { Outcome } from '#contracts/outcome';
import type { RelaxedRecord } from '#contracts/policy';
import { done, refused } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { EntryPosting } from '#domain/journal/types';
import { bookRecords } from '../agreement/book';
import type { LateCause } from '../agreement/late-change.sql';
import type { Unit } from '../perform';
import { postEntries } from '../journal/post';
import { isCorrectedAlone } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { shareAgreementsOf } from './accept-collections.sql';
import { lockCollections, selectCollection, type CollectionRow } from './collection.sql';
import { selectAgreementOn, type AgreementOnDay } from './directory.sql';
import { localDay } from './local-day';

/** A collection that is held for a correction, with the agreement that it falls under, which is held as well. */
export type HeldCollection = { readonly row: CollectionRow; readonly agreement: AgreementOnDay };

/** Holds a collection in which something is to be corrected, and asks whether the caller may. */
export async function holdForCorrection({ tx, refusal }: Unit, collectionId: string): Promise<Outcome<HeldCollection>> {
  const [locked] = await lockCollections(tx, [collectionId]);
  const row = locked === undefined ? null : await selectCollection(tx, collectionId);
  if (row === null) return refused('not-found');
  const refusedHere = refusal({ state: row.state, siteId: row.site_id });
  if (refusedHere !== null) return refusedHere;
  if (row.state === 'discarded') return refused('wrong-state', { detail: 'The collection was discarded: nothing of it counts.' });
  await shareAgreementsOf(tx, [row.id]);
  const agreement = await selectAgreementOn(tx, { siteId: row.site_id, day: row.accounting_date });
  if (agreement === null) return refused('no-agreement', { detail: `There are no terms for ${row.site_code} on ${row.accounting_date}.` });
  return { ok: true, value: { row, agreement } };
}

/**
 * Whether a figure of this collection is corrected by one person alone, which is to be labelled; or why it may not be
 * corrected: it was already, or it is in the books and the caller's own (25 CFR 543.17(g)(12): two people make a
 * correction), and there are others.
 */
export async function checkCorrection(
  figure: { readonly replaced: boolean; readonly recorded_by: string; readonly what: string },
  of: { readonly row: CollectionRow; readonly tx: TenantTransaction; readonly now: Date },
): Promise<Outcome<boolean>> {
  const { what, recorded_by: recordedBy } = figure;
  if (figure.replaced) return refused('wrong-state', { detail: `This ${what} was corrected already: correct the one that stands in its place.` });
  if (of.row.state !== 'accepted') return done(false);
  return isCorrectedAlone(of.tx, { recordedBy, now: of.now, detail: `The ${what} is your own and was accepted.` });
}

/**
 * Writes a correction. Of an accepted collection it happens under the locks of the period and the later ones; the journal
 * gets the difference, and a period that is numbered already is settled again. With `label` it is marked as made by one
 * person alone. `postings` say whose cash it is. The entry is of today, or of `date` where it goes with another entry of that day.
 */
export async function bookCorrection(
  tx: TenantTransaction,
  held: HeldCollection,
  correction: { sourceId: string; label: RelaxedRecord['kind'] | null; cause: LateCause; postings: readonly EntryPosting[]; date?: LocalDate; now: Date; newId: () => string; write: () => Promise<void> },
): Promise<Outcome<null>> {
  const { row, agreement } = held;
  const { sourceId, cause, now, newId } = correction;
  const write = async (): Promise<void> => {
    await correction.write();
    if (correction.label !== null) await labelRelaxed(tx, { recordId: sourceId, rule: 'second-person', kind: correction.label, now });
  };
  if (row.state !== 'accepted') {
    await write();
    return { ok: true, value: null };
  }
  const booked = await bookRecords(tx, { records: [{ sourceId, agreementId: agreement.id, accountingDate: row.accounting_date }], cause, now, newId, write });
  if (!booked.ok) return booked;
  await postEntries(tx, {
    recordedAt: now,
    entries: [
      {
        id: newId(),
        // It happens today: the entry of the acceptance stays what it was.
        date: correction.date ?? localDay({ instant: now, timeZone: row.time_zone }) ?? row.accounting_date,
        currency: row.currency,
        kind: 'collection-corrected',
        sourceId,
        postings: correction.postings,
      },
    ],
  });
  return booked;
}
