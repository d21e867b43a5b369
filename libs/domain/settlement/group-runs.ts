/**
 * The groups of counts of a period, ready for charges and split: each with its machines, its pools and the days that
 * it charges for the first time.
 */
import { noDays, numberOfDays, subtractDays, unionOfDays, type Days, type DaySet } from '#domain/calendar/day-ranges';
import type { Grouping } from '#domain/terms/types';
import { mergeCells, netTakingsOf, type Cell, type MachineCells } from '#domain/settlement/cells';
import { cover, coveredBy, type CoveredMachine, type CoveredSoFar } from '#domain/settlement/covered-days';
import type { Cut, Group } from '#domain/settlement/segments';
import type { MachineInput } from '#domain/settlement/types';

export interface GroupMachine {
  readonly machine: MachineInput;
  /** Everything of this machine in this group; null where nothing happened. */
  readonly cell: Cell | null;
  readonly netMinor: bigint;
  /** Days that its counts cover. */
  readonly days: DaySet;
}

export interface Pool {
  readonly key: string;
  readonly machines: readonly GroupMachine[];
  /** Days covered by any count of the pool and not settled before. */
  readonly newDays: DaySet;
  taxMinor: bigint;
  lossInMinor: bigint;
  leftMinor: bigint;
  /** Keys of the tax and charge lines that lowered it, for explanations. */
  readonly taxKeys: string[];
  readonly chargeKeys: string[];
}

export interface GroupRun {
  readonly group: Group;
  readonly machines: readonly GroupMachine[];
  readonly pools: readonly Pool[];
  /** Days covered by any count of the group and not settled before. */
  readonly newDays: DaySet;
  readonly poolOf: ReadonlyMap<string, Pool>;
  /** What earlier settlements and groups have settled. */
  readonly coveredBefore: ReadonlyMap<string, CoveredMachine>;
}

export interface RunsRequest {
  readonly cut: Cut;
  readonly machines: readonly MachineCells[];
  /** Is extended by the days of this period. */
  readonly covered: CoveredSoFar;
  /** A tax falls due although nothing was collected: the last group must take it. */
  readonly taxFallsDue: boolean;
}

/** One run per group in which something happened, in the order of the versions. */
export function groupRuns({ cut, machines, covered, taxFallsDue }: RunsRequest): GroupRun[] {
  const drafts = cut.groups.map((group, index) => ({ group, machines: machinesOfGroup(cut, machines, index) }));
  const busy = drafts.filter((draft) => draft.machines.some((entry) => entry.cell !== null));
  const last = drafts[drafts.length - 1];
  const chosen = busy.length === 0 && taxFallsDue && last !== undefined ? [last] : busy;
  return chosen.map((draft) => runOf(draft, covered));
}

function machinesOfGroup(cut: Cut, machines: readonly MachineCells[], groupIndex: number): GroupMachine[] {
  return machines.map(({ machine, cells }) => {
    const own = cells.filter((cell, index): cell is Cell => cell !== null && cut.segments[index]?.groupIndex === groupIndex);
    const cell = mergeCells(own);
    return { machine, cell, netMinor: cell === null ? 0n : netTakingsOf(cell), days: cell === null ? noDays : unionOfDays(cell.covered) };
  });
}

function runOf({ group, machines }: { group: Group; machines: readonly GroupMachine[] }, covered: CoveredSoFar): GroupRun {
  const { grouping } = group.terms;
  const pools = poolsOf(grouping, machines).map(({ key, machines: members }) => {
    const before = coveredBy(covered, (machine) => poolKeyOf(grouping, { id: machine.machineId, kind: machine.kind }) === key);
    return { key, machines: members, newDays: newDaysOf(members, before), taxMinor: 0n, lossInMinor: 0n, leftMinor: 0n, taxKeys: [], chargeKeys: [] };
  });
  const [only] = pools;
  const newDays =
    grouping === 'site' && only !== undefined
      ? only.newDays
      : newDaysOf(
          machines,
          coveredBy(covered, () => true),
        );
  const coveredBefore = new Map(covered);
  for (const entry of machines) cover(covered, entry.machine, entry.days);
  const poolOf = new Map<string, Pool>();
  for (const pool of pools) for (const entry of pool.machines) poolOf.set(entry.machine.id, pool);
  return { group, machines, pools, newDays, poolOf, coveredBefore };
}

function newDaysOf(machines: readonly GroupMachine[], before: DaySet): DaySet {
  const ranges: Days[] = [];
  for (const entry of machines) for (const range of entry.days) ranges.push(range);
  return subtractDays({ minuend: unionOfDays(ranges), subtrahend: before });
}

/** Pools in the order of their first machine's tag. */
function poolsOf(grouping: Grouping, machines: readonly GroupMachine[]): { key: string; machines: GroupMachine[] }[] {
  const pools = new Map<string, GroupMachine[]>();
  for (const entry of machines) {
    const key = poolKeyOf(grouping, entry.machine);
    const members = pools.get(key);
    if (members === undefined) pools.set(key, [entry]);
    else members.push(entry);
  }
  return [...pools].map(([key, members]) => ({ key, machines: members }));
}

/** Names the pool of a machine; keys of different groupings never meet. */
export function poolKeyOf(grouping: Grouping, machine: { readonly id: string; readonly kind: string }): string {
  switch (grouping) {
    case 'site':
      return 'site';
    case 'kind':
      return `kind:${machine.kind}`;
    case 'machine':
      return `machine:${machine.id}`;
  }
}

export function hasCount(machines: readonly GroupMachine[]): boolean {
  return machines.some((entry) => entry.cell !== null && entry.cell.counts.length > 0);
}

/** Distinct collections in which any of the machines was counted. */
export function numberOfVisits(machines: readonly GroupMachine[]): number {
  const visits = new Set<string>();
  for (const entry of machines) if (entry.cell !== null) for (const count of entry.cell.counts) visits.add(count.collectionId);
  return visits.size;
}

/** What an amount for the whole agreement, a pool or a machine looks at, in each group of the period. */
export interface Extent {
  readonly machines: readonly GroupMachine[];
  readonly days: DaySet;
}

const nothing: Extent = { machines: [], days: noDays };

export function agreementExtent(run: GroupRun): Extent {
  return { machines: run.machines, days: run.newDays };
}

/**
 * A pool of one group in all groups of the period, in their order. Where other terms form the pools otherwise, its
 * machines are looked at all the same, so that an amount per period is shared with that group instead of standing twice.
 */
export function poolExtents(runs: readonly GroupRun[], { group: { terms } }: GroupRun, poolKey: string): Extent[] {
  return runs.map((run) => {
    const pool = run.pools.find((candidate) => candidate.key === poolKey);
    if (pool !== undefined) return { machines: pool.machines, days: pool.newDays };
    const machines = run.machines.filter(({ machine }) => poolKeyOf(terms.grouping, machine) === poolKey);
    const before = coveredBy(run.coveredBefore, (machine) => poolKeyOf(terms.grouping, { id: machine.machineId, kind: machine.kind }) === poolKey);
    return { machines, days: newDaysOf(machines, before) };
  });
}

export function machineExtent(run: GroupRun, machineId: string): Extent {
  const entry = run.machines.find((candidate) => candidate.machine.id === machineId);
  return entry === undefined ? nothing : { machines: [entry], days: entry.days };
}

/**
 * The part of a whole amount per period that falls to one of several groups, as days over all days. It stands whole
 * once per settlement that has a count: when no group covers a day, the first with a count takes it.
 */
export function partOfPeriod(extents: readonly Extent[], position: number): { days: number; ofDays: number } {
  const days = extents.map((extent) => numberOfDays(extent.days));
  const total = days.reduce((sum, value) => sum + value, 0);
  const counted = extents.findIndex((extent) => hasCount(extent.machines));
  if (total === 0) return { days: counted === position ? 1 : 0, ofDays: 1 };
  return { days: days[position] ?? 0, ofDays: total };
}
