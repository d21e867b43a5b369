import type { TenantTransaction } from '#database/tenant';
import { takeOverClaims } from '../refund-claim/take-over.sql';
import { insertCollections, insertCounts, insertHanded, insertSlips, insertTallies, type NewCollection, type NewCount, type NewHanded, type NewSlip } from './record-collections.sql';

export type { HandedBox, NewCollection, NewCount, NewHanded, NewSlip } from './record-collections.sql';

export type NewEntries = { readonly counts: readonly NewCount[]; readonly slips: readonly NewSlip[]; readonly handed: readonly NewHanded[]; readonly scaleCheckId?: string | null };

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
  const tallied = recorded.counts.flatMap(({ id, tally }) => (tally === undefined || tally === null ? [] : [{ countId: id, lines: tally }]));
  if (tallied.length > 0) await insertTallies(tx, tallied, recorded.scaleCheckId ?? null);
  if (recorded.slips.length > 0) {
    await insertSlips(tx, recorded.slips, recorded.now);
    await takeOverClaims(tx, recorded.slips);
  }
  if (recorded.handed.length > 0) await insertHanded(tx, recorded.handed, recorded.now);
}
