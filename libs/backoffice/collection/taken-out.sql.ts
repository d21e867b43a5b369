import type { TenantTransaction } from '#database/tenant';

/** Cash that went out of the boxes of a collection before they were bagged, or before they were counted. `placement_id`: whose box, where that is known; `coin_minor`: its coins, where they are. */
export type TakenReceiptRow = { kind: 'handed' | 'refund' | 'filled'; placement_id: string | null; amount_minor: bigint; coin_minor: bigint | null };

/** Every receipt that stands: cash handed over, refunds by the operator's people, and change funds that were filled. */
export async function selectTakenReceipts(tx: TenantTransaction, collectionId: string): Promise<TakenReceiptRow[]> {
  const { rows } = await tx.sql<TakenReceiptRow>(
    `SELECT 'handed' AS kind, h.placement_id, h.amount_minor, h.coin_minor FROM cash_handed h
      WHERE h.tenant_id = $1 AND h.collection_id = $2 AND NOT EXISTS (SELECT FROM cash_handed newer WHERE newer.tenant_id = $1 AND newer.replaces_id = h.id)
     UNION ALL
     SELECT 'refund', r.placement_id, r.amount_minor, r.coin_minor FROM refund_slip r
      WHERE r.tenant_id = $1 AND r.collection_id = $2 AND r.paid_by = 'operator' AND NOT EXISTS (SELECT FROM refund_slip newer WHERE newer.tenant_id = $1 AND newer.replaces_id = r.id)
     UNION ALL
     SELECT 'filled', (SELECT b.placement_id FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = $2 AND b.machine_id = m.out_of_machine_id ORDER BY b.id LIMIT 1), m.amount_minor, m.coin_minor
       FROM cash_move m
      WHERE m.tenant_id = $1 AND m.collection_id = $2 AND m.takes_back_id IS NULL AND NOT EXISTS (SELECT FROM cash_move back WHERE back.tenant_id = $1 AND back.takes_back_id = m.id)`,
    [tx.tenantId, collectionId],
  );
  return rows;
}

export type BoxOfBagsRow = {
  placement_id: string;
  coin_minor: bigint;
  note_minor: bigint;
  metered_minor: bigint | null;
  /** Coins and notes counted at the machine before; null where nobody did. */
  at_machine_coin_minor: bigint | null;
  at_machine_note_minor: bigint | null;
  /** The count that says what was taken out of it; null where there is none yet. */
  taken_id: string | null;
  taken_coin_minor: bigint;
  taken_note_minor: bigint;
  taken_metered_minor: bigint | null;
};

/** Boxes of a collection as the room found them in the bags, beside what the books say was taken out before; by machine. */
export async function selectBoxesOfBags(tx: TenantTransaction, collectionId: string): Promise<BoxOfBagsRow[]> {
  const { rows } = await tx.sql<BoxOfBagsRow>(
    `SELECT found.placement_id, found.coin_minor, found.note_minor, found.metered_minor,
            machine_count.coin_minor AS at_machine_coin_minor, machine_count.note_minor AS at_machine_note_minor,
            taken.id AS taken_id, coalesce(taken.coin_minor, 0) AS taken_coin_minor, coalesce(taken.note_minor, 0) AS taken_note_minor, taken.metered_minor AS taken_metered_minor
       FROM (SELECT b.placement_id, b.machine_id, sum(b.coin_minor)::bigint AS coin_minor, sum(b.note_minor)::bigint AS note_minor, sum(b.metered_minor)::bigint AS metered_minor
               FROM box_count b
              WHERE b.tenant_id = $1 AND b.collection_id = $2 AND b.part > 0 AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)
              GROUP BY b.placement_id, b.machine_id) found
       JOIN machine m ON m.tenant_id = $1 AND m.id = found.machine_id
       CROSS JOIN LATERAL (SELECT sum(w.coin_minor)::bigint AS coin_minor, sum(w.note_minor)::bigint AS note_minor FROM field_count w
                            WHERE w.tenant_id = $1 AND w.collection_id = $2 AND w.placement_id = found.placement_id
                             AND NOT EXISTS (SELECT FROM field_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = w.id)) machine_count
       LEFT JOIN box_count taken ON taken.tenant_id = $1 AND taken.collection_id = $2 AND taken.placement_id = found.placement_id AND taken.part = 0
        AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = taken.id)
      ORDER BY m.tag, found.placement_id`,
    [tx.tenantId, collectionId],
  );
  return rows;
}

export type TakenCount = { readonly id: string; readonly placementId: string; readonly coinMinor: bigint; readonly noteMinor: bigint; readonly meteredMinor: bigint | null; readonly replacesId: string | null };

/** Writes what was taken out of boxes as part 0 of their counts, or in the place of what stood there before. Of a box that was counted late it comes late, too. */
export async function insertTakenOut(tx: TenantTransaction, counts: readonly TakenCount[], of: { readonly collectionId: string; readonly reason: string | null; readonly now: Date }): Promise<void> {
  if (counts.length === 0) return;
  await tx.sql(
    `INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, part, removal, currency, coin_minor, note_minor, metered_minor, at_machine, replaces_id, late, reason, recorded_at, recorded_by)
     SELECT $1, t.id, $2, first.site_id, t.placement_id, first.machine_id, 0, first.removal, first.currency, t.coin, t.note, t.metered, first.at_machine, t.replaces_id,
            t.replaces_id IS NULL AND first.late, CASE WHEN t.replaces_id IS NOT NULL OR first.late THEN $3 END, $4, $5
       FROM unnest($6::uuid[], $7::uuid[], $8::bigint[], $9::bigint[], $10::bigint[], $11::uuid[]) AS t (id, placement_id, coin, note, metered, replaces_id)
       CROSS JOIN LATERAL (
         SELECT b.site_id, b.machine_id, b.removal, b.currency, b.at_machine, b.late FROM box_count b
          WHERE b.tenant_id = $1 AND b.collection_id = $2 AND b.placement_id = t.placement_id AND b.part > 0 AND b.replaces_id IS NULL ORDER BY b.part LIMIT 1) first`,
    [
      tx.tenantId,
      of.collectionId,
      of.reason,
      of.now,
      tx.actor,
      counts.map(({ id }) => id),
      counts.map(({ placementId }) => placementId),
      counts.map(({ coinMinor }) => coinMinor),
      counts.map(({ noteMinor }) => noteMinor),
      counts.map(({ meteredMinor }) => meteredMinor),
      counts.map(({ replacesId }) => replacesId),
    ],
  );
}
