import type { CashlessTaking } from '#contracts/cashless';
import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { CashlessRow } from './cashless.sql';

export function toCashless(row: CashlessRow): CashlessTaking {
  return {
    id: row.id,
    siteId: row.site_id,
    siteCode: row.site_code,
    placementId: row.placement_id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    localDate: row.local_date,
    collectionId: row.collection_id,
    accountingDate: row.accounting_date,
    gross: moneyOf(row.gross_minor, row.currency),
    refunded: moneyOf(row.refunded_minor, row.currency),
    replacesId: row.replaces_id,
    replacedById: row.replaced_by_id,
    reason: row.reason,
    withoutSecondPerson: row.made_alone,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}
