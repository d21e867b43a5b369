// Which days, visits and counts an amount of the whole agreement, of a pool or of a machine is reckoned over, group by group.
import { type Day, daysBetween, scaledByDays, union, without } from './calendar';
import { type Exact, exact, ratio, round, sumExact } from './numbers';
import { byTag, groupOf } from './takings';
import type { Amount, Count, Machine, PeriodInput, Version } from './terms';

export interface Pool {
  name: string;
  grouping: Version['grouping'];
  /** In order of their tags. */
  machines: readonly string[];
}

/** The days of one unit in one group, and how they stand to the unit's days in all groups. */
export interface UnitFacts {
  days: readonly Day[];
  daysPerMachine: readonly (readonly Day[])[];
  visits: number;
  counted: boolean;
  /** Whether it was counted in any group of the period. */
  countedAtAll: boolean;
  /** The part of an amount per period that falls to this group. */
  periodPart: Exact;
}

export type Unit = { scope: 'agreement' } | { scope: 'pool'; pool: Pool } | { scope: 'machine'; machine: string };

/** The pools of a version; a pool's place is that of its first machine. */
export function poolsOf(version: Version, machines: readonly Machine[]): Pool[] {
  const pools = new Map<string, string[]>();
  for (const tag of byTag(machines.map((machine) => machine.tag))) {
    const kind = machines.find((machine) => machine.tag === tag)?.kind ?? '';
    const name = poolName(version.grouping, { tag, kind });
    pools.set(name, [...(pools.get(name) ?? []), tag]);
  }
  return [...pools].map(([name, tags]) => ({ name, grouping: version.grouping, machines: tags }));
}

function poolName(grouping: Version['grouping'], machine: { tag: string; kind: string }): string {
  if (grouping === 'site') return 'site';
  return grouping === 'kind' ? `kind:${machine.kind}` : `machine:${machine.tag}`;
}

function countsOf(input: PeriodInput, group: number, unit: Unit): Count[] {
  const wanted = (tag: string) => unit.scope === 'agreement' || (unit.scope === 'pool' ? unit.pool.machines.includes(tag) : unit.machine === tag);
  return input.counts.filter((count) => wanted(count.machine) && groupOf(input.versions, count.date) === group);
}

export const coveredBy = (counts: readonly Count[]) => union(counts.map((count) => daysBetween({ from: count.coveredFrom, until: count.coveredUntil })));

/** The days that a unit's counts of one group cover and that no earlier settlement or group has charged; a machine's are all its own. */
export function daysOf(input: PeriodInput, group: number, unit: Unit): Day[] {
  const covered = coveredBy(countsOf(input, group, unit));
  if (unit.scope === 'machine') return covered;
  const settled = input.carriedIn.chargedDays.filter((before) => {
    return unit.scope === 'agreement' || poolName(unit.pool.grouping, { tag: before.machine, kind: before.kind }) === unit.pool.name;
  });
  const earlierGroups = Array.from({ length: group }, (_, earlier) => coveredBy(countsOf(input, earlier, unit)));
  return without(covered, union([...settled.map((before) => before.days), ...earlierGroups]));
}

export function factsOf(input: PeriodInput, group: number, unit: Unit): UnitFacts {
  const counts = countsOf(input, group, unit);
  const machines = byTag(counts.map((count) => count.machine));
  const groups = input.versions.map((_, index) => index).filter((index) => countsOf(input, index, unit).length > 0);
  const daysPerGroup = groups.map((index) => BigInt(daysOf(input, index, unit).length));
  const allDays = daysPerGroup.reduce((total, days) => total + days, 0n);
  const place = groups.indexOf(group);
  // An amount per period has nothing to be shared by when no day is new: the first group with a count takes it whole.
  const periodPart = allDays === 0n ? exact(place === 0 ? 1n : 0n) : ratio({ of: daysPerGroup[place] ?? 0n, by: allDays });
  return {
    days: daysOf(input, group, unit),
    daysPerMachine: machines.map((machine) => coveredBy(counts.filter((count) => count.machine === machine))),
    visits: new Set(counts.map((count) => count.visit)).size,
    counted: counts.length > 0,
    countedAtAll: groups.length > 0,
    periodPart: counts.length > 0 ? periodPart : exact(0n),
  };
}

/** What an amount comes to for a unit, rounded once. */
export function amountFor(amount: Amount, facts: UnitFacts): bigint {
  switch (amount.per) {
    case 'week':
    case 'month':
    case 'year':
      return round(scaledByDays(amount.amountMinor, amount.per, facts.days));
    case 'machine-week':
      return round(sumExact(facts.daysPerMachine.map((days) => scaledByDays(amount.amountMinor, 'week', days))));
    case 'machine-month':
      return round(sumExact(facts.daysPerMachine.map((days) => scaledByDays(amount.amountMinor, 'month', days))));
    case 'visit':
      return amount.amountMinor * BigInt(facts.visits);
    case 'period':
      return round(facts.periodPart.mul(exact(amount.amountMinor)));
  }
}
