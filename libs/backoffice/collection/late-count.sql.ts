import type { TenantTransaction } from '#database/tenant';
import type { NewCount } from './record-collections.sql';

/** Writes the count of a box of an accepted collection that had none; the database refuses one of any other box. */
export async function insertLateCount(tx: TenantTransaction, count: NewCount, { reason, now }: { readonly reason: string; readonly now: Date }): Promise<void> {
  await tx.sql(
    `INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, removal, currency, coin_minor, note_minor, tokens,
                            house_coin_minor, bad_coin_minor, metered_minor, late, reason, recorded_at, recorded_by)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, true, $16, $17, $18)`,
    [tx.tenantId, count.id, count.collectionId, count.siteId, count.placementId, count.machineId, count.part, count.removal, count.currency, count.coinMinor, count.noteMinor, JSON.stringify(count.tokens),
      count.houseCoinMinor, count.badCoinMinor, count.meteredMinor, reason, now, tx.actor],
  );
}
