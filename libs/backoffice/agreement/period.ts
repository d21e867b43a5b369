import type { TenantTransaction } from '#database/tenant';
import type { LocalDate } from '#domain/calendar/local-date';
import { periodContaining } from '#domain/calendar/periods';
import { shareAgreements } from './agreement.sql';
import { insertPeriods, selectCycles, selectPeriodsOf, type AgreementDay, type CycleRow, type PeriodRow } from './period.sql';

export type { AgreementDay } from './period.sql';

export type Period = {
  readonly id: string;
  readonly agreementId: string;
  readonly siteId: string;
  readonly startsOn: LocalDate;
  readonly endsBefore: LocalDate;
};

/**
 * The settlement period of each agreement and day, in the order asked for; `null` where no terms are in force on the day.
 * Periods that nobody has needed so far are made: as the cycle of the version in force cuts them, whole, whatever the
 * days on which the agreement or a version begins and ends. Takes five statements at most, whatever the number of days.
 * Shares the locks of the agreements whose periods it makes, where the caller does not hold them all.
 */
export async function ensurePeriods(
  tx: TenantTransaction,
  input: { readonly days: readonly AgreementDay[]; readonly newId: () => string; readonly areAgreementsShared?: true },
): Promise<(Period | null)[]> {
  const { days } = input;
  const found: (PeriodRow | null)[] = days.map(() => null);
  await fill(tx, days, found);
  const missing = days.filter((_, index) => found[index] === null);
  if (missing.length > 0) {
    const agreementIds = [...new Set(missing.map((day) => day.agreementId))];
    // First the lock, then the look: who waited for a change of terms must read what it wrote.
    if (input.areAgreementsShared !== true) await shareAgreements(tx, agreementIds);
    const cycles = byAgreement(await selectCycles(tx, agreementIds));
    const made = periodsFor(missing, cycles, input.newId);
    if (made.length > 0) {
      await insertPeriods(tx, made);
      await fill(tx, days, found);
    }
    // A day under terms always has a period, because a change of cycle is only taken where a period of both begins.
    const gap = days.find((day, index) => found[index] === null && cycleOn(cycles, day) !== undefined);
    if (gap !== undefined) throw new Error(`agreement ${gap.agreementId} has no period for ${gap.date}, although terms are in force`);
  }
  return found.map((row) => (row === null ? null : toPeriod(row)));
}

async function fill(tx: TenantTransaction, days: readonly AgreementDay[], found: (PeriodRow | null)[]): Promise<void> {
  for (const row of await selectPeriodsOf(tx, days)) found[row.place - 1] = row;
}

type Cycles = ReadonlyMap<string, readonly CycleRow[]>;

function byAgreement(rows: readonly CycleRow[]): Cycles {
  const cycles = new Map<string, CycleRow[]>();
  for (const row of rows) {
    const known = cycles.get(row.agreement_id);
    if (known === undefined) cycles.set(row.agreement_id, [row]);
    else known.push(row);
  }
  return cycles;
}

/** What the version in force on the day says: the last that begins on or before it. */
function cycleOn(cycles: Cycles, { agreementId, date }: AgreementDay): CycleRow | undefined {
  return cycles.get(agreementId)?.findLast((row) => row.effective_from <= date);
}

/** One row per period, however many of the days it contains. */
function periodsFor(days: readonly AgreementDay[], cycles: Cycles, newId: () => string): PeriodRow[] {
  const made = new Map<string, PeriodRow>();
  for (const day of days) {
    const inForce = cycleOn(cycles, day);
    if (inForce === undefined) continue;
    const { from, until } = periodContaining(inForce.cycle, day.date);
    const key = `${day.agreementId} ${from}`;
    if (!made.has(key)) made.set(key, { id: newId(), agreement_id: day.agreementId, site_id: inForce.site_id, starts_on: from, ends_before: until });
  }
  return [...made.values()];
}

function toPeriod(row: PeriodRow): Period {
  return { id: row.id, agreementId: row.agreement_id, siteId: row.site_id, startsOn: row.starts_on, endsBefore: row.ends_before };
}
