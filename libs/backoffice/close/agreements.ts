import type { Cycle } from '#contracts/close';
import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { periodContaining } from '#domain/calendar/periods';
import { selectCycles } from '../agreement/period.sql';
import { ensurePeriods } from '../agreement/period';
import { readCandidates, readVisitedSites, type CandidateRow } from './agreements.sql';

/** An agreement that is settled in a period, and the period's last day as its cycle cuts it. */
export type DueAgreement = { readonly agreementId: string; readonly siteId: string; readonly timeZone: string; readonly day: LocalDate; readonly endsBefore: LocalDate };

/**
 * Agreements of a cycle that have a period beginning on the day: those that hold on a day of it, and ended ones of which
 * something turned up that is still to be settled. With a settlement per visit a day is a period only where there was one.
 * By site code.
 */
export async function dueAgreements(tx: TenantTransaction, period: { cycle: Cycle; startsOn: LocalDate }): Promise<DueAgreement[]> {
  const candidates = await readCandidates(tx, period.startsOn);
  const cycles = await selectCycles(tx, candidates.map((candidate) => candidate.id));
  const byAgreement = new Map<string, typeof cycles>();
  for (const row of cycles) byAgreement.set(row.agreement_id, [...(byAgreement.get(row.agreement_id) ?? []), row]);
  const visited = period.cycle === 'visit' ? await readVisitedSites(tx, period.startsOn) : null;
  return candidates.flatMap((candidate) => {
    const day = firstDayIn(candidate, period.startsOn);
    const inForce = byAgreement.get(candidate.id)?.findLast((row) => row.effective_from <= day);
    if (inForce?.cycle.kind !== period.cycle) return [];
    const hasEnded = candidate.ended_on !== null && candidate.ended_on <= period.startsOn;
    if (visited !== null && !hasEnded && !visited.has(candidate.site_id)) return [];
    const { from, until } = periodContaining(inForce.cycle, day);
    // The agreement may begin after this period, in a later one of the same cycle.
    if (from !== period.startsOn) return [];
    return [{ agreementId: candidate.id, siteId: candidate.site_id, timeZone: candidate.time_zone, day, endsBefore: until }];
  });
}

function firstDayIn(candidate: CandidateRow, startsOn: LocalDate): LocalDate {
  return candidate.started_on > startsOn ? (candidate.started_on as LocalDate) : startsOn;
}

/** The period rows of agreements, made where nobody has needed them so far; in the agreements' order. */
export async function periodIdsOf(tx: TenantTransaction, agreements: readonly DueAgreement[], newId: () => string): Promise<string[]> {
  const days = agreements.map(({ agreementId, day }) => ({ agreementId, date: day }));
  const periods = await ensurePeriods(tx, { days, newId });
  return periods.map((period, index) => {
    if (period === null) throw new Error(`agreement ${agreements[index]?.agreementId ?? ''} has a cycle but no period`);
    return period.id;
  });
}
