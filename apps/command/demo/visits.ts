import { addDays, toDayNumber, yearMonthDayOf, type LocalDate } from '#domain/calendar/local-date';
import { periodContaining } from '#domain/calendar/periods';
import { chanceFrom, type Chance } from './random';
import type { DemoMachine, DemoOperator, DemoSite } from './world';

/** One visit with what came out of each box. */
export type DemoVisit = {
  readonly siteCode: string;
  readonly on: LocalDate;
  /** Local time, whole minutes. */
  readonly at: string;
  readonly collectorCode: string;
  readonly counts: readonly DemoCount[];
  readonly refunds: readonly { readonly machineTag: string; readonly on: LocalDate; readonly amountMinor: bigint }[];
  readonly handedMinor: bigint;
  /** Handed in only after its month was closed. */
  readonly late: boolean;
};

export type DemoCount = { readonly machineTag: string; readonly coinMinor: bigint; readonly noteMinor: bigint; readonly removal: boolean };

/** What else happened on a day. */
export type DemoEvent = { readonly on: LocalDate; readonly enter: () => Promise<void> };

/** Names a count among all of an operator. */
export function countKey(visit: Pick<DemoVisit, 'siteCode' | 'on'>, { machineTag }: Pick<DemoCount, 'machineTag'>): string {
  return `${visit.siteCode} ${visit.on} ${machineTag}`;
}

/** Takings over the year: bars live on winter evenings, in percent of the average month. */
const seasonPercent = [112, 106, 104, 98, 95, 90, 86, 88, 96, 104, 108, 113] as const;

const FOUR_WEEKS = 28;

/** A machine as it stands at one site for a while. */
type Stay = { readonly machine: DemoMachine; readonly from: LocalDate; readonly until: LocalDate | null };

/** Every visit of an operator up to and including `today`, in order of time. */
export function visitsOf(seed: string, operator: DemoOperator, today: LocalDate): readonly DemoVisit[] {
  const chance = chanceFrom(`${seed}/visits/${operator.code}`);
  const visits = operator.sites.flatMap((site) => visitsOfSite(chance.fork(site.code), { operator, site, today }));
  return visits.sort((a, b) => (a.on < b.on ? -1 : a.on > b.on ? 1 : a.siteCode < b.siteCode ? -1 : 1));
}

type Scene = { readonly operator: DemoOperator; readonly site: DemoSite; readonly today: LocalDate };

function visitsOfSite(chance: Chance, scene: Scene): DemoVisit[] {
  const { operator, site, today } = scene;
  const stays = staysAt(operator, site);
  const lastCount = new Map<string, LocalDate>();
  const days = new Set<LocalDate>(stays.flatMap((stay) => (stay.until !== null && stay.until <= today ? [stay.until] : [])));
  for (const day of roundsOf(operator, site, today)) days.add(day);
  return [...days].sort().map((day) => visit(chance, scene, { day, stays, lastCount }));
}

/**
 * The collectors come equally often in every period, as rounds are planned where settlements are monthly: a fixed step of
 * days would fall into a month two or three times, and takings would jump by half without anybody playing more.
 */
function roundsOf(operator: DemoOperator, site: DemoSite, today: LocalDate): LocalDate[] {
  const days: LocalDate[] = [];
  for (let period = periodContaining(operator.cycle, operator.startsOn); period.from <= today; period = periodContaining(operator.cycle, period.until)) {
    for (let afterDays = site.firstVisitAfterDays; afterDays < FOUR_WEEKS; afterDays += site.daysBetweenVisits) days.push(addDays(period.from, afterDays));
  }
  return days.filter((day) => day <= today);
}

function staysAt(operator: DemoOperator, site: DemoSite): Stay[] {
  const own = site.machines.map((machine) => ({ machine, from: operator.startsOn, until: machine.move?.on ?? null }));
  const arrived = operator.sites.flatMap((other) =>
    other.machines.flatMap((machine) => (machine.move?.toSiteCode === site.code ? [{ machine, from: machine.move.on, until: null }] : [])),
  );
  return [...own, ...arrived];
}

function visit(chance: Chance, { operator, site }: Scene, at: { day: LocalDate; stays: readonly Stay[]; lastCount: Map<string, LocalDate> }): DemoVisit {
  const counts: DemoCount[] = [];
  const refunds: { machineTag: string; on: LocalDate; amountMinor: bigint }[] = [];
  for (const { machine, from, until } of at.stays) {
    const removal = until === at.day;
    if (at.day <= from || (until !== null && until < at.day)) continue;
    const since = at.lastCount.get(machine.tag) ?? from;
    at.lastCount.set(machine.tag, at.day);
    counts.push({ machineTag: machine.tag, removal, ...boxContent(chance, { operator, site, machine, since, day: at.day }) });
    if (chance.percent(4)) refunds.push({ machineTag: machine.tag, on: addDays(at.day, -1) < from ? from : addDays(at.day, -1), amountMinor: BigInt(chance.between(1, 8) * 100) });
  }
  return {
    siteCode: site.code,
    on: at.day,
    at: `${String(chance.between(9, 16)).padStart(2, '0')}:${String(chance.between(0, 11) * 5).padStart(2, '0')}`,
    collectorCode: chance.pick(operator.collectors).code,
    counts,
    refunds,
    handedMinor: site.handsCashOut && counts.length > 0 ? BigInt(chance.between(2, 8) * 1000) : 0n,
    late: chance.percent(1),
  };
}

export type Box = { readonly operator: DemoOperator; readonly site: DemoSite; readonly machine: DemoMachine; readonly since: LocalDate; readonly day: LocalDate };

/** What a box holds that was emptied on `since` and is emptied again on `day`. */
export function boxContent(chance: Chance, { operator, site, machine, since, day }: Box): { coinMinor: bigint; noteMinor: bigint } {
  const days = toDayNumber(day) - toDayNumber(since);
  const season = seasonPercent[yearMonthDayOf(toDayNumber(day)).month - 1] ?? 100;
  let minor = Math.floor((days * machine.dailyMinor * site.strengthPercent * season * chance.between(75, 125)) / 1_000_000);
  const { shortage } = machine;
  if (shortage !== null && day >= shortage.from && day < shortage.until) minor -= Math.floor((minor * shortage.percent) / 100);
  const [coinStep, noteStep] = operator.currency === 'USD' ? [25, 100] : [50, 500];
  const noteMinor = Math.floor((minor * chance.between(20, 55)) / 100 / noteStep) * noteStep;
  const coinMinor = Math.floor((minor - noteMinor) / coinStep) * coinStep;
  return { coinMinor: BigInt(coinMinor), noteMinor: BigInt(noteMinor) };
}
