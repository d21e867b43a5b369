import type { TenantTransaction } from '#database/tenant';
import type { BoxContents, TokenPieces } from './box-contents';

export type StandingCount = {
  id: string;
  placement_id: string;
  machine_id: string;
  part: number;
  removal: boolean;
  coin_minor: bigint;
  note_minor: bigint;
  tokens: TokenPieces;
  house_coin_minor: bigint;
  bad_coin_minor: bigint;
  metered_minor: bigint | null;
  recorded_by: string;
  replaced: boolean;
};

export async function selectCount(tx: TenantTransaction, count: { collectionId: string; id: string }): Promise<StandingCount | null> {
  const { rows } = await tx.sql<StandingCount>(
    `SELECT b.id, b.placement_id, b.machine_id, b.part, b.removal, b.coin_minor, b.note_minor, b.tokens, b.house_coin_minor, b.bad_coin_minor,
            b.metered_minor, b.recorded_by,
            EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = b.tenant_id AND newer.replaces_id = b.id) AS replaced
       FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = $2 AND b.id = $3`,
    [tx.tenantId, count.collectionId, count.id],
  );
  return rows[0] ?? null;
}

/** Writes a count in the place of another, which stays as it is. */
export async function insertCorrection(
  tx: TenantTransaction,
  correction: BoxContents & { id: string; replacesId: string; coinMinor: bigint; noteMinor: bigint; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, removal, currency, coin_minor,
                            note_minor, tokens, house_coin_minor, bad_coin_minor, metered_minor, replaces_id, reason, recorded_at, recorded_by)
     SELECT tenant_id, $2, collection_id, site_id, placement_id, machine_id, part, removal, currency, $4, $5, $9, $10, $11, $12, id, $6, $7, $8
       FROM box_count WHERE tenant_id = $1 AND id = $3`,
    [tx.tenantId, correction.id, correction.replacesId, correction.coinMinor, correction.noteMinor, correction.reason, correction.now, tx.actor, JSON.stringify(correction.tokens),
      correction.houseCoinMinor, correction.badCoinMinor, correction.meteredMinor],
  );
}
