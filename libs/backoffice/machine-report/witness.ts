import { formatInstant } from '#contracts/format';
import { moneyOf } from '#contracts/money';
import type { VarianceFlagDetail } from '#contracts/variance';
import type { TenantTransaction } from '#database/tenant';
import { cashTenders, type CashTender } from '#domain/meters/meter';
import { reportedByTender } from '#domain/rounds/reported';
import { selectMeters } from '../meter/meter.sql';
import { isFittedAt, toMeter } from '../meter/to-board';
import { reading } from './cash-now';
import { spansOf } from './spans';
import { selectEventsBetween, selectMissedSince, selectReportedBetween } from './witness.sql';

/** Open doors and faults that a machine reported between two emptyings of its box: it says when, and never who. */
export async function eventsBetween(tx: TenantTransaction, box: { readonly machineId: string; readonly placementId: string; readonly collectionId: string }): Promise<VarianceFlagDetail['machineEvents']> {
  const since = [...(await selectMissedSince(tx, box)).values()].sort((one, other) => one.getTime() - other.getTime());
  const spans = spansOf(await selectEventsBetween(tx, { ...box, missedSince: since[0] ?? null }));
  const time = (at: Date | null) => (at === null ? null : formatInstant(at));
  return spans.map(({ kind, fault, startedAt, endedAt }) => ({ kind, fault: fault === '' ? null : fault, startedAt: time(startedAt), endedAt: time(endedAt) }));
}

/**
 * What a machine itself reported of the time that each tender of a box is compared over, by its own clock at both ends: no person who
 * collected or counted had a hand in it. Nothing where it did not report, or its board was changed in between.
 */
export async function reportedBetween(tx: TenantTransaction, box: { readonly machineId: string; readonly placementId: string; readonly collectionId: string }): Promise<VarianceFlagDetail['machineSays']> {
  const missed = await selectMissedSince(tx, box);
  const sinceOf = (tender: CashTender): number | null => missed.get(tender)?.getTime() ?? null;
  const says: VarianceFlagDetail['machineSays'] = [];
  for (const sinceMs of new Set([...cashTenders].map(sinceOf))) {
    const all = await reportedSince(tx, { ...box, missedSince: sinceMs === null ? null : new Date(sinceMs) });
    const amounts = all?.amounts.filter(({ tender }) => sinceOf(tender) === sinceMs) ?? [];
    if (all !== null && amounts.length > 0) says.push({ ...all, amounts });
  }
  return says;
}

async function reportedSince(tx: TenantTransaction, box: { readonly machineId: string; readonly placementId: string; readonly collectionId: string; readonly missedSince: Date | null }): Promise<VarianceFlagDetail['machineSays'][number] | null> {
  const rows = await selectReportedBetween(tx, box);
  const [any] = rows;
  if (any === undefined) return null;
  const meters = (await selectMeters(tx, [box.machineId])).filter((meter) => isFittedAt(meter, any.until) && isFittedAt(meter, any.since));
  const byMeter = new Map(rows.map((row) => [row.meter_id, row]));
  const told = meters.map((meter) => {
    const row = byMeter.get(meter.id);
    return { ...toMeter(meter), emptied: row === undefined ? null : reading(row.first_at, row.first_value), latest: row === undefined ? null : reading(row.last_at, row.last_value), parting: [] };
  });
  const amounts = reportedByTender(told);
  const currency = meters[0]?.currency;
  if (amounts === null || currency === undefined) return null;
  const moments = (pick: (row: (typeof rows)[number]) => Date): number[] => rows.map((row) => pick(row).getTime());
  return {
    from: formatInstant(new Date(Math.min(...moments(({ first_at: at }) => at)))),
    to: formatInstant(new Date(Math.max(...moments(({ last_at: at }) => at)))),
    amounts: amounts.map(({ tender, minor }) => ({ tender, amount: moneyOf(minor, currency) })),
  };
}
