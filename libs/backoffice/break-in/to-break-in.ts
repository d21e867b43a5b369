import type { BreakIn } from '#contracts/break-in';
import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import { done, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { selectBreakIn, type BreakInRow } from './break-in.sql';

export function toBreakIn(row: BreakInRow): BreakIn {
  return {
    id: row.id,
    siteId: row.site_id,
    siteCode: row.site_code,
    placementId: row.placement_id,
    machineId: row.machine_id,
    machineTag: row.machine_tag,
    happenedOn: row.happened_on,
    accountingDate: row.accounting_date,
    accountingReason: row.accounting_reason,
    amount: moneyOf(row.amount_minor, row.currency),
    note: row.note,
    replacesId: row.replaces_id,
    replacedById: row.replaced_by_id,
    reason: row.reason,
    withoutSecondPerson: row.made_alone,
    recordedAt: formatInstant(row.recorded_at),
    recordedBy: row.recorded_by,
  };
}

/** The record as it was just written within this transaction. */
export async function readBack(tx: TenantTransaction, id: string): Promise<Outcome<BreakIn>> {
  const row = await selectBreakIn(tx, id);
  if (row === null) throw new Error(`break-in ${id} is gone`);
  return done(toBreakIn(row));
}
