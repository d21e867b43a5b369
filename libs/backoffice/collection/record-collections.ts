import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { insertCollections, insertCounts, insertHanded, insertSlips } from './record-collections.sql';

/** A visit that was checked: its local date is the site's day of `happenedAt`, its currency the site's. */
export type NewCollection = {
  readonly id: string;
  readonly siteId: string;
  readonly currency: string;
  readonly happenedAt: Date;
  readonly localDate: LocalDate;
  readonly accountingDate: LocalDate;
  /** Why it is booked to another day; null when it is not. */
  readonly accountingReason: string | null;
  readonly state: 'open' | 'counted';
  readonly collectedBy: string | null;
  readonly importFileId: string | null;
};

/** Ties an entry to its visit; the currency is the visit's. */
type EntryOf = { readonly id: string; readonly collectionId: string; readonly siteId: string; readonly currency: string };

export type NewCount = EntryOf & {
  readonly placementId: string;
  readonly machineId: string;
  readonly part: number;
  readonly removal: boolean;
  readonly coinMinor: bigint;
  readonly noteMinor: bigint;
};

export type NewSlip = EntryOf & {
  readonly placementId: string;
  readonly machineId: string;
  readonly refundedOn: LocalDate;
  readonly amountMinor: bigint;
  readonly paidBy: 'site' | 'operator';
};

export type NewHanded = EntryOf & { readonly partyId: string; readonly amountMinor: bigint; readonly acknowledgedBy: string | null };

export type NewEntries = { readonly counts: readonly NewCount[]; readonly slips: readonly NewSlip[]; readonly handed: readonly NewHanded[] };

/**
 * Writes visits that were checked already, with their counts, slips and hand-outs: four statements, whatever their
 * number. They are not accepted by this; see `acceptCollections`.
 */
export async function recordCollections(
  tx: TenantTransaction,
  recorded: NewEntries & { readonly collections: readonly NewCollection[]; readonly now: Date },
): Promise<void> {
  await insertCollections(tx, recorded.collections, recorded.now);
  await recordEntries(tx, recorded);
}

/** Writes counts, slips and hand-outs of visits that are there already. */
export async function recordEntries(tx: TenantTransaction, recorded: NewEntries & { readonly now: Date }): Promise<void> {
  if (recorded.counts.length > 0) await insertCounts(tx, recorded.counts, recorded.now);
  if (recorded.slips.length > 0) await insertSlips(tx, recorded.slips, recorded.now);
  if (recorded.handed.length > 0) await insertHanded(tx, recorded.handed, recorded.now);
}
