import { toLawLimit } from '#contracts/law-limit';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import type { LawLimit } from '#domain/tax/types';
import { selectLimitsAtSite } from './limit.sql';
import { toLimitRecord } from './to-limit';

/**
 * What the law of the place allows on the day from which terms shall hold. Later days are not asked: a limit that comes later
 * is for the terms of that day, and until there are such, the review of settlements says so.
 */
export async function limitsAtSite(tx: TenantTransaction, place: { readonly siteId: string; readonly on: LocalDate }): Promise<LawLimit[]> {
  return (await selectLimitsAtSite(tx, place)).map((row) => toLawLimit(toLimitRecord(row)));
}
