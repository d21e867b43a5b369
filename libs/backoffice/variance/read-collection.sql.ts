import type { TenantTransaction } from '#database/tenant';
import type { Unknown } from '#domain/meters/expected-cash';
import type { LocalDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import type { Tender } from '#domain/variance/compare';

export type CollectionVarianceRow = {
  machine_id: string;
  machine_tag: string;
  tender: Tender;
  currency: CurrencyCode;
  accounting_date: LocalDate;
  expected_minor: bigint | null;
  counted_minor: bigint;
  unknown: Unknown[];
  source: 'typed' | 'meters';
  since_at: Date | null;
  counts: number;
  plays_minor: bigint | null;
  out_of_tolerance: boolean;
};

/** The variances of a collection that stand, by machine. */
export async function selectOfCollection(tx: TenantTransaction, collectionId: string): Promise<CollectionVarianceRow[]> {
  const { rows } = await tx.sql<CollectionVarianceRow>(
    `SELECT v.machine_id, m.tag AS machine_tag, v.tender, v.currency, v.accounting_date, v.expected_minor, v.counted_minor, v.unknown, v.source, v.since_at, v.counts, v.plays_minor, v.out_of_tolerance
       FROM cash_variance v JOIN machine m ON m.tenant_id = $1 AND m.id = v.machine_id
      WHERE v.tenant_id = $1 AND v.collection_id = $2 AND v.stands
      ORDER BY m.tag, v.tender`,
    [tx.tenantId, collectionId],
  );
  return rows;
}
