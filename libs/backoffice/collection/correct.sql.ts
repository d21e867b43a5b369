import type { TenantTransaction } from '#database/tenant';
import type { BoxContents, TokenPieces } from './box-contents';
import type { HandedBox } from './record-collections';

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
  at_machine: boolean;
  recorded_by: string;
  replaced: boolean;
};

export async function selectCount(tx: TenantTransaction, count: { collectionId: string; id: string }): Promise<StandingCount | null> {
  const { rows } = await tx.sql<StandingCount>(
    `SELECT b.id, b.placement_id, b.machine_id, b.part, b.removal, b.coin_minor, b.note_minor, b.tokens, b.house_coin_minor, b.bad_coin_minor,
            b.metered_minor, b.at_machine, b.recorded_by,
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
                            note_minor, tokens, house_coin_minor, bad_coin_minor, metered_minor, at_machine, replaces_id, reason, recorded_at, recorded_by)
     SELECT tenant_id, $2, collection_id, site_id, placement_id, machine_id, part, removal, currency, $4, $5, $9, $10, $11, $12, at_machine, id, $6, $7, $8
       FROM box_count WHERE tenant_id = $1 AND id = $3`,
    [tx.tenantId, correction.id, correction.replacesId, correction.coinMinor, correction.noteMinor, correction.reason, correction.now, tx.actor, JSON.stringify(correction.tokens),
      correction.houseCoinMinor, correction.badCoinMinor, correction.meteredMinor],
  );
}

export type StandingSlip = { id: string; machine_id: string; amount_minor: bigint; paid_by: 'site' | 'operator'; coin_minor: bigint | null; recorded_by: string; replaced: boolean };

export async function selectSlip(tx: TenantTransaction, slip: { collectionId: string; id: string }): Promise<StandingSlip | null> {
  const { rows } = await tx.sql<StandingSlip>(
    `SELECT r.id, r.machine_id, r.amount_minor, r.paid_by, r.coin_minor, r.recorded_by,
            EXISTS (SELECT FROM refund_slip newer WHERE newer.tenant_id = r.tenant_id AND newer.replaces_id = r.id) AS replaced
       FROM refund_slip r WHERE r.tenant_id = $1 AND r.collection_id = $2 AND r.id = $3`,
    [tx.tenantId, slip.collectionId, slip.id],
  );
  return rows[0] ?? null;
}

/** Writes a slip in the place of another, which stays as it is. */
export async function insertSlipCorrection(
  tx: TenantTransaction,
  correction: { id: string; replacesId: string; amountMinor: bigint; paidBy: 'site' | 'operator'; coinMinor: bigint | null; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO refund_slip (tenant_id, id, collection_id, site_id, placement_id, machine_id, refunded_on, currency, amount_minor, paid_by,
                              coin_minor, replaces_id, reason, recorded_at, recorded_by)
     SELECT tenant_id, $2, collection_id, site_id, placement_id, machine_id, refunded_on, currency, $4, $5, $9, id, $6, $7, $8
       FROM refund_slip WHERE tenant_id = $1 AND id = $3`,
    [tx.tenantId, correction.id, correction.replacesId, correction.amountMinor, correction.paidBy, correction.reason, correction.now, tx.actor, correction.coinMinor],
  );
}

export type StandingHanded = { id: string; party_id: string; amount_minor: bigint; acknowledged_by: string | null; placement_id: string | null; machine_id: string | null; coin_minor: bigint | null; recorded_by: string; replaced: boolean };

export async function selectHandedOut(tx: TenantTransaction, handed: { collectionId: string; id: string }): Promise<StandingHanded | null> {
  const { rows } = await tx.sql<StandingHanded>(
    `SELECT h.id, h.party_id, h.amount_minor, h.acknowledged_by, h.placement_id, h.machine_id, h.coin_minor, h.recorded_by,
            EXISTS (SELECT FROM cash_handed newer WHERE newer.tenant_id = h.tenant_id AND newer.replaces_id = h.id) AS replaced
       FROM cash_handed h WHERE h.tenant_id = $1 AND h.collection_id = $2 AND h.id = $3`,
    [tx.tenantId, handed.collectionId, handed.id],
  );
  return rows[0] ?? null;
}

/** Writes a hand-out in the place of another, which stays as it is. */
export async function insertHandedCorrection(
  tx: TenantTransaction,
  correction: { id: string; replacesId: string; amountMinor: bigint; acknowledgedBy: string | null; box: HandedBox | null; coinMinor: bigint | null; reason: string; now: Date },
): Promise<void> {
  await tx.sql(
    `INSERT INTO cash_handed (tenant_id, id, collection_id, site_id, party_id, currency, amount_minor, acknowledged_by, placement_id, machine_id, coin_minor, replaces_id, reason,
                              recorded_at, recorded_by)
     SELECT tenant_id, $2, collection_id, site_id, party_id, currency, $4, $5, $9, $10, $11, id, $6, $7, $8
       FROM cash_handed WHERE tenant_id = $1 AND id = $3`,
    [tx.tenantId, correction.id, correction.replacesId, correction.amountMinor, correction.acknowledgedBy, correction.reason, correction.now, tx.actor,
      correction.box?.placementId ?? null, correction.box?.machineId ?? null, correction.coinMinor],
  );
}
