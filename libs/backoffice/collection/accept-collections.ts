import { done, refused, type Outcome } from '#contracts/outcome';
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
import { announce } from '../webhook/announce.sql';
import { selectShortened, type Shortened } from './shortened.sql';
import { refusedUnmetered } from './metered';
import { refusedUncounted } from './uncounted';
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
 * change. One whose period is numbered already is noted as a late change, to be settled by difference; so is a newer one
 * that goes by meters, of whose interval an older one takes a part. A fixed number of statements, whatever the number of collections.
 *
 * Locks the periods (shared) before anything is written: a close that holds one of them finishes first, and then sees
 * either the whole collection or nothing of it.
 */
export async function acceptCollections(tx: TenantTransaction, command: AcceptCollections): Promise<Outcome<null>> {
  const shortened = await selectShortened(tx, command.collectionIds);
  // First the locks, then the look: who waited for an agreement to end must read that it did.
  await shareAgreementsOf(tx, [...command.collectionIds, ...shortened.map(({ collection_id: id }) => id)]);
  const waiting = await selectWaiting(tx, command.collectionIds);
  if (waiting.length !== command.collectionIds.length) return refused('not-found');
  const open = waiting.find((collection) => collection.state !== 'counted');
  if (open !== undefined) return refused('wrong-state', { detail: `The collection at ${open.site_code} of ${open.accounting_date} is ${open.state}.` });

  const uncounted = waiting.filter((collection) => collection.has_uncounted);
  if (uncounted.length > 0) return refusedUncounted(tx, uncounted.map(({ id }) => id));
  const byMeters = waiting.flatMap(({ id, goes_by_meters: goesByMeters }) => (goesByMeters === true ? [id] : []));
  const unmetered = byMeters.length === 0 ? null : await refusedUnmetered(tx, byMeters);
  if (unmetered !== null) return unmetered;
  const inPeriods = await periodsOf(tx, { waiting, shortened, newId: command.newId });
  if (!inPeriods.ok) return inPeriods;
  const { collections, changed } = inPeriods.value;
  await sharePeriodsFrom(tx, [...new Set([...collections, ...changed].map(({ periodId }) => periodId))]);
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
  if (changed.length > 0) await insertLateChanges(tx, { cause: 'correction', sources: changed, now: command.now });
  const cash = await selectCash(tx, ids);
  await postEntries(tx, { entries: await entriesOf(tx, { collections, cash, newId: command.newId }), recordedAt: command.now });
  const metered = cash.filter(({ is_metered: isMetered, is_waited_for: isWaitedFor }) => isMetered || isWaitedFor).map(({ collection_id: id }) => id);
  if (metered.length > 0) await assessCollections(tx, { collectionIds: metered, now: command.now, newId: command.newId });
  await announce(tx, { type: 'collection.accepted', told: ids.map((subjectId) => ({ subjectId })), now: command.now });
  return done(null);
}

type ToPlace = { readonly waiting: readonly WaitingCollection[]; readonly shortened: readonly Shortened[]; readonly newId: () => string };
type Placed = { readonly collections: readonly Agreed[]; readonly changed: readonly { readonly sourceId: string; readonly periodId: string }[] };

/**
 * The periods of the collections, and of the newer ones that they take something from. Money without an agreement would be
 * settled with nobody, so it is refused until there is one for its date.
 */
async function periodsOf(tx: TenantTransaction, { waiting, shortened, newId }: ToPlace): Promise<Outcome<Placed>> {
  const without = waiting.find(({ agreement_id: agreementId }) => agreementId === null);
  if (without !== undefined) return noTerms(without);
  const days = [...waiting, ...shortened].map((each) => ({ agreementId: each.agreement_id ?? '', date: each.accounting_date }));
  const periods = await ensurePeriods(tx, { days, newId, areAgreementsShared: true });
  const collections: Agreed[] = [];
  for (const [place, collection] of waiting.entries()) {
    const periodId = periods[place]?.id;
    if (collection.agreement_id === null || periodId === undefined) return noTerms(collection);
    collections.push({ ...collection, agreement_id: collection.agreement_id, periodId });
  }
  const changed = shortened.flatMap(({ source_id: sourceId }, place) => {
    const periodId = periods[waiting.length + place]?.id;
    return periodId === undefined ? [] : [{ sourceId, periodId }];
  });
  return done({ collections, changed });
}

function noTerms({ site_code: siteCode, accounting_date: date }: WaitingCollection): Outcome<never> {
  return refused('no-agreement', { detail: `There are no terms for ${siteCode} on ${date}.` });
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
      withCollector: { collectorId: collection.collected_by, amountMinor: cash.get(collection.id)?.with_collector_minor ?? 0n },
    }),
  }));
}
