import { done, refused, type Outcome } from '#contracts/outcome';
import { enqueueAll } from '#database/outbox';
import type { TenantTransaction } from '#database/tenant';
import { collectionPostings } from '#domain/journal/collection-postings';
import type { JournalEntry } from '#domain/journal/types';
import { insertLateChanges } from '../agreement/late-change.sql';
import { ensurePeriods } from '../agreement/period';
import { sharePeriodsFrom } from '../agreement/period.sql';
import { closedWords } from '../journal/period';
import { shareJournal } from '../journal/period.sql';
import { postEntries } from '../journal/post';
import { assessCollections } from '../variance/assess';
import { markAccepted, selectCash, selectHandedByCollection, selectWaiting, shareAgreementsOf, type CollectedCash, type WaitingCollection } from './accept-collections.sql';

export type AcceptCollections = {
  readonly collectionIds: readonly string[];
  readonly now: Date;
  readonly newId: () => string;
};

/** A collection whose accounting date lies under an agreement. */
type Agreed = WaitingCollection & { readonly agreement_id: string; readonly periodId: string };

/**
 * Accepts counted collections, all or none: from here on they are takings of a period, stand in the journal, and do not
 * change. One whose period is numbered already is noted as a late change, to be settled by difference. A fixed number of
 * statements, whatever the number of collections.
 *
 * Locks the periods (shared) before anything is written: a close that holds one of them finishes first, and then sees
 * either the whole collection or nothing of it.
 */
export async function acceptCollections(tx: TenantTransaction, command: AcceptCollections): Promise<Outcome<null>> {
  // First the locks, then the look: who waited for an agreement to end must read that it did.
  await shareAgreementsOf(tx, command.collectionIds);
  const waiting = await selectWaiting(tx, command.collectionIds);
  if (waiting.length !== command.collectionIds.length) return refused('not-found');
  const open = waiting.find((collection) => collection.state !== 'counted');
  if (open !== undefined) return refused('wrong-state', { detail: `The collection at ${open.site_code} of ${open.accounting_date} is ${open.state}.` });

  const agreed = await inPeriods(tx, waiting, command.newId);
  if (!agreed.ok) return agreed;
  const collections = agreed.value;
  await sharePeriodsFrom(tx, [...new Set(collections.map((collection) => collection.periodId))]);
  const closedThrough = await shareJournal(tx);
  const closed = collections.find((collection) => closedThrough !== null && collection.accounting_date <= closedThrough);
  if (closed !== undefined && closedThrough !== null) {
    return refused('journal-closed', { detail: `The collection at ${closed.site_code}: ${closedWords({ day: closed.accounting_date, closedThrough })}` });
  }
  const ids = collections.map((collection) => collection.id);
  const accepted = await markAccepted(tx, { ids, now: command.now });
  if (accepted.size !== ids.length) return refused('changed-meanwhile');

  const sources = collections.map((collection) => ({ sourceId: collection.id, periodId: collection.periodId }));
  await insertLateChanges(tx, { cause: 'collection', sources, now: command.now });
  const cash = await selectCash(tx, ids);
  await postEntries(tx, { entries: await entriesOf(tx, { collections, cash, newId: command.newId }), recordedAt: command.now });
  const metered = cash.filter(({ is_metered: isMetered }) => isMetered).map(({ collection_id: id }) => id);
  if (metered.length > 0) await assessCollections(tx, { collectionIds: metered, now: command.now, newId: command.newId });
  await enqueueAll(tx, 'collection.accepted', ids.map((collectionId) => ({ collectionId })));
  return done(null);
}

/** Money without an agreement would be settled with nobody, so it is refused until there is one for its date. */
async function inPeriods(tx: TenantTransaction, waiting: readonly WaitingCollection[], newId: () => string): Promise<Outcome<Agreed[]>> {
  const days = waiting.map((collection) => ({ agreementId: collection.agreement_id ?? '', date: collection.accounting_date }));
  const periods = await ensurePeriods(tx, { days: days.filter((day) => day.agreementId !== ''), newId });
  const agreed: Agreed[] = [];
  let place = 0;
  for (const collection of waiting) {
    const period = collection.agreement_id === null ? null : periods[place++];
    if (collection.agreement_id === null || period === null || period === undefined) {
      return refused('no-agreement', { detail: `There are no terms for ${collection.site_code} on ${collection.accounting_date}.` });
    }
    agreed.push({ ...collection, agreement_id: collection.agreement_id, periodId: period.id });
  }
  return done(agreed);
}

type ToPost = { readonly collections: readonly Agreed[]; readonly cash: readonly CollectedCash[]; readonly newId: () => string };

async function entriesOf(tx: TenantTransaction, { collections, newId, ...from }: ToPost): Promise<JournalEntry[]> {
  const cash = new Map(from.cash.map((row) => [row.collection_id, row]));
  const handed = await selectHandedByCollection(tx, [...cash.keys()]);
  return collections.map((collection) => ({
    id: newId(),
    date: collection.accounting_date,
    currency: collection.currency,
    kind: 'collection-accepted',
    sourceId: collection.id,
    postings: collectionPostings({
      agreementId: collection.agreement_id,
      countedMinor: cash.get(collection.id)?.counted_minor ?? 0n,
      handed: handed.get(collection.id) ?? [],
      refundsByOperatorMinor: cash.get(collection.id)?.refunds_by_operator_minor ?? 0n,
    }),
  }));
}
