import type { Cycle } from '#contracts/close';
import type { PeriodRow } from '#contracts/month-end';
import { done, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { addDays, type LocalDate } from '#domain/calendar/local-date';
import { periodContaining } from '#domain/calendar/periods';
import type { Cycle as TermsCycle } from '#domain/terms/types';
import type { Caller } from '../caller';
import { localDay } from '../collection/local-day';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { readClosedPeriods, readCyclesInUse, readTimeZones, readVisitDays, type CycleInUse } from './month-end.sql';

/** Periods of one cycle that are listed, from the present one back: enough for a year and a half of weeks. */
const MOST_PERIODS = 80;

/** The periods of the operator's cycles, newest first: those that were closed, the present one, and those in between. */
export function listPeriods(deps: Backoffice, caller: Caller): Promise<Outcome<Page<PeriodRow>>> {
  return perform<Page<PeriodRow>>(deps, caller, 'close.read', async ({ tx, now }) => {
    const todays = (await readTimeZones(tx)).flatMap((timeZone) => localDay({ instant: now, timeZone }) ?? []).sort();
    const [earliest, latest] = [todays[0], todays.at(-1)];
    if (earliest === undefined || latest === undefined) return done({ items: [], next: null });
    const periods = new Map<string, PeriodRow>();
    const cycles = await readCyclesInUse(tx);
    for (const row of cycles.flatMap((cycle) => periodsOf(cycle, { earliest, latest }))) periods.set(keyOf(row), row);
    const byVisit = cycles.some(({ cycle }) => (cycle as TermsCycle).kind === 'visit');
    for (const day of byVisit ? await readVisitDays(tx, MOST_PERIODS) : []) {
      const row = visitPeriod(day as LocalDate, earliest);
      periods.set(keyOf(row), row);
    }
    for (const run of await readClosedPeriods(tx)) {
      const row: PeriodRow = {
        cycle: run.cycle as Cycle,
        startsOn: run.starts_on as LocalDate,
        endsBefore: run.ends_before as LocalDate,
        closeId: run.id,
        state: 'closed',
      };
      periods.set(keyOf(row), row);
    }
    return done({ items: [...periods.values()].sort(newestFirst), next: null });
  });
}

/** Today differs between the zones of the sites: a period goes on as long as it does at one of them. */
function periodsOf(used: CycleInUse, today: { earliest: LocalDate; latest: LocalDate }): PeriodRow[] {
  const cycle = used.cycle as TermsCycle;
  if (cycle.kind === 'visit') return [];
  const rows: PeriodRow[] = [];
  const lastDay = used.last_day !== null && used.last_day < today.latest ? (used.last_day as LocalDate) : today.latest;
  for (let day = lastDay; day >= used.first_day && rows.length < MOST_PERIODS; ) {
    const { from, until } = periodContaining(cycle, day);
    rows.push({ cycle: cycle.kind, startsOn: from, endsBefore: until, closeId: null, state: until <= today.earliest ? 'over' : 'open' });
    day = addDays(from, -1);
  }
  return rows;
}

/** Visits have no rhythm: a period is a day on which there were some. */
function visitPeriod(startsOn: LocalDate, today: LocalDate): PeriodRow {
  const endsBefore = addDays(startsOn, 1);
  return { cycle: 'visit', startsOn, endsBefore, closeId: null, state: endsBefore <= today ? 'over' : 'open' };
}

function keyOf({ cycle, startsOn }: PeriodRow): string {
  return `${cycle} ${startsOn}`;
}

function newestFirst(one: PeriodRow, other: PeriodRow): number {
  if (one.startsOn !== other.startsOn) return one.startsOn < other.startsOn ? 1 : -1;
  return one.cycle < other.cycle ? -1 : 1;
}
