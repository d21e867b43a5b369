// Charges before the split: carried rests first, then the charges in the agreement's order, never more than what is left.
import type { Day } from './calendar';
import { allocate, exact, positive, round, smallest, sum } from './numbers';
import { type Pool, type Unit, amountFor, factsOf } from './scopes';
import { type Entry, byTag, netOf } from './takings';
import type { Charge, LossCarry, RestCarry, PeriodInput } from './terms';

export interface Taken {
  charge: string;
  to: string;
  pool: string;
  group: number;
  /** The first day of the period whose rest this pays; none for a charge of this group itself. */
  since: Day | undefined;
  amountMinor: bigint;
}

/** A pool of one group while the waterfall runs; `leftMinor` may be below zero. */
export interface OpenPool {
  pool: Pool;
  group: number;
  netMinor: bigint;
  cashlessMinor: bigint;
  taxMinor: bigint;
  lossInMinor: bigint;
  leftMinor: bigint;
}

export interface ChargesResult {
  taken: Taken[];
  rests: RestCarry[];
  /** What charges asked for, did not get, and gave up. */
  lapsed: { charge: string; amountMinor: bigint }[];
}

interface Run {
  input: PeriodInput;
  group: number;
  entries: readonly Entry[];
  pools: OpenPool[];
}

export function chargesOf(run: Run, restsIn: readonly RestCarry[]): ChargesResult {
  const result: ChargesResult = { taken: [], rests: [], lapsed: [] };
  for (const rest of merged(restsIn.flatMap((one) => placed(run, one)))) {
    const wanted = { charge: rest.charge, to: rest.to, amountMinor: rest.amountMinor, since: rest.since };
    const missingMinor = take(run, result, wanted, poolsOfRest(run, rest));
    if (missingMinor > 0n) result.rests.push({ ...rest, amountMinor: missingMinor });
  }
  for (const charge of run.input.versions[run.group]?.charges ?? []) {
    for (const unit of unitsOf(run, charge)) {
      const wanted = { charge: charge.name, to: charge.to, amountMinor: askedFor(run, charge, unit), since: undefined };
      const missingMinor = take(run, result, wanted, poolsUnder(run, unit));
      if (missingMinor === 0n) continue;
      if (charge.rest === 'lapses') result.lapsed.push({ charge: charge.name, amountMinor: missingMinor });
      else result.rests.push({ charge: charge.name, to: charge.to, since: run.input.period.from, amountMinor: missingMinor, ...carriedBy(charge.scope, unit) });
    }
  }
  return { ...result, rests: merged(result.rests) };
}

/** What one charge left open at one place in one period is one rest, also when two groups left it. */
function merged(rests: readonly RestCarry[]): RestCarry[] {
  const together = new Map<string, RestCarry>();
  for (const rest of rests) {
    const key = [rest.charge, rest.to, rest.scope, rest.unit, rest.since].join('/');
    together.set(key, { ...rest, ...together.get(key), amountMinor: (together.get(key)?.amountMinor ?? 0n) + rest.amountMinor });
  }
  return [...together.values()];
}

function unitsOf(run: Run, charge: Charge): Unit[] {
  if (charge.scope === 'agreement') return [{ scope: 'agreement' }];
  if (charge.scope === 'pool') return run.pools.map(({ pool }) => ({ scope: 'pool', pool }));
  return byTag(run.pools.flatMap(({ pool }) => pool.machines)).map((machine) => ({ scope: 'machine', machine }));
}

function poolsUnder(run: Run, unit: Unit): OpenPool[] {
  if (unit.scope === 'agreement') return run.pools;
  return run.pools.filter(({ pool }) => (unit.scope === 'pool' ? pool.name === unit.pool.name : pool.machines.includes(unit.machine)));
}

function carriedBy(scope: Charge['scope'], unit: Unit): { scope: Charge['scope']; unit: string; machines: readonly string[] } {
  if (unit.scope === 'agreement') return { scope, unit: '', machines: [] };
  if (unit.scope === 'pool') return { scope, unit: unit.pool.name, machines: unit.pool.machines };
  return { scope, unit: unit.machine, machines: [unit.machine] };
}

/** What a charge asks of a unit, rounded once; it never turns into money back. */
function askedFor(run: Run, charge: Charge, unit: Unit): bigint {
  if ('per' in charge.what) return amountFor(charge.what, factsOf(run.input, run.group, unit));
  const entries = run.entries.filter((entry) => unit.scope === 'agreement' || (unit.scope === 'pool' ? unit.pool.machines.includes(entry.machine) : unit.machine === entry.machine));
  const bases = {
    net: () => netOf(entries),
    cashless: () => sum(entries.map((entry) => entry.cashlessMinor)),
    left: () => sum(poolsUnder(run, unit).map((open) => positive(open.leftMinor))),
  };
  return positive(round(exact(bases[charge.what.of]()).mul(charge.what.percentage)));
}

/** Takes what is wanted from the pools by what is left in each, and tells what could not be had. */
function take(run: Run, result: ChargesResult, wanted: { charge: string; to: string; amountMinor: bigint; since: Day | undefined }, pools: OpenPool[]): bigint {
  const left = pools.map((open) => positive(open.leftMinor));
  const takenMinor = smallest([wanted.amountMinor, sum(left)]);
  allocate(takenMinor, left.map(exact)).forEach((part, index) => {
    const open = pools[index];
    if (open === undefined || part === 0n) return;
    open.leftMinor -= part;
    result.taken.push({ charge: wanted.charge, to: wanted.to, pool: open.pool.name, group: run.group, since: wanted.since, amountMinor: part });
  });
  return wanted.amountMinor - takenMinor;
}

function poolsOfRest(run: Run, rest: RestCarry): OpenPool[] {
  if (rest.scope === 'agreement') return run.pools;
  if (rest.scope === 'pool') return run.pools.filter(({ pool }) => pool.name === rest.unit);
  const own = run.pools.filter(({ pool }) => pool.machines.includes(rest.unit));
  return own.length > 0 ? own : run.pools.slice(0, 1);
}

/** Rests of pools and machines as they stand in the pools of today. */
function placed(run: Run, rest: RestCarry): RestCarry[] {
  if (rest.scope !== 'pool') return [rest];
  return moved(run, rest).map(({ pool, amountMinor }) => ({ ...rest, unit: pool.name, machines: pool.machines, amountMinor }));
}

/** A loss carried in, per pool of today. */
export function placedLoss(run: Run, loss: LossCarry): { pool: Pool; amountMinor: bigint }[] {
  return moved(run, loss);
}

/**
 * To the pools that its machines are in now, by their positive net takings; to the first pool if they are in none. A pool
 * that is still there has its machines and so keeps what it carried.
 */
function moved(run: Run, carry: { machines: readonly string[]; amountMinor: bigint }): { pool: Pool; amountMinor: bigint }[] {
  const now = run.pools.filter(({ pool }) => pool.machines.some((machine) => carry.machines.includes(machine)));
  const candidates = now.length > 0 ? now : run.pools.slice(0, 1);
  const weights = candidates.map(({ pool }) => {
    const own = pool.machines.filter((machine) => carry.machines.includes(machine));
    return exact(sum(own.map((machine) => positive(netOf(run.entries.filter((entry) => entry.machine === machine))))));
  });
  return allocate(carry.amountMinor, weights)
    .map((amountMinor, index) => ({ pool: candidates[index]?.pool, amountMinor }))
    .flatMap(({ pool, amountMinor }) => (pool === undefined || amountMinor === 0n ? [] : [{ pool, amountMinor }]));
}
