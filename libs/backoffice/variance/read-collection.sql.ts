import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { NotCompared, Tender } from '#domain/variance/compare';

export type ComparedRow = {
  placement_id: string;
  machine_id: string;
  machine_tag: string;
  tender: Tender;
  currency: CurrencyCode;
  accounting_date: LocalDate;
  expected_minor: bigint | null;
  counted_minor: bigint;
  unknown: NotCompared[];
  source: 'typed' | 'meters';
  since_at: Date | null;
  counts: number;
  plays_minor: bigint | null;
  second_expected_minor: bigint | null;
  counters_apart_minor: bigint | null;
  counters_too_far: boolean;
  /** As it was counted at the machine, with the house coin and bad coin that only the room tells of; null where nobody did. */
  field_minor: bigint | null;
  out_of_tolerance: boolean;
};

/** The variances of a collection that stand, by machine; `placementId`: of one box. */
export async function selectCompared(tx: TenantTransaction, { collectionId, placementId }: { readonly collectionId: string; readonly placementId: string | null }): Promise<ComparedRow[]> {
  const { rows } = await tx.sql<ComparedRow>(
    `SELECT v.placement_id, v.machine_id, m.tag AS machine_tag, v.tender, v.currency, v.accounting_date, v.expected_minor, v.counted_minor, v.unknown, v.source, v.since_at, v.counts, v.plays_minor, v.second_expected_minor,
            v.counters_apart_minor, v.counters_too_far, v.out_of_tolerance,
            CASE v.tender WHEN 'coin' THEN field.coin_minor + room.beside_minor WHEN 'note' THEN field.note_minor ELSE field.coin_minor + field.note_minor + room.beside_minor END AS field_minor
       FROM cash_variance v JOIN machine m ON m.tenant_id = $1 AND m.id = v.machine_id
       CROSS JOIN LATERAL (
         SELECT sum(f.coin_minor)::bigint AS coin_minor, sum(f.note_minor)::bigint AS note_minor
           FROM field_count f WHERE f.tenant_id = $1 AND f.collection_id = v.collection_id AND f.placement_id = v.placement_id
            AND NOT EXISTS (SELECT FROM field_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = f.id)) field
       CROSS JOIN LATERAL (
         SELECT coalesce(sum(b.house_coin_minor + b.bad_coin_minor), 0)::bigint AS beside_minor
           FROM box_count b WHERE b.tenant_id = $1 AND b.collection_id = v.collection_id AND b.placement_id = v.placement_id
            AND NOT EXISTS (SELECT FROM box_count newer WHERE newer.tenant_id = $1 AND newer.replaces_id = b.id)) room
      WHERE v.tenant_id = $1 AND v.collection_id = $2 AND v.stands AND ($3::uuid IS NULL OR v.placement_id = $3)
      ORDER BY m.tag, v.tender`,
    [tx.tenantId, collectionId, placementId],
  );
  return rows;
}
