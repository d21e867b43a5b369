// Guarantees and caps: tested once per settlement on what all groups gave each party, in the agreement's order.
import { allocate, exact, positive, smallest, sum } from './numbers';
import { type Pool, type Unit, amountFor, factsOf, poolsOf } from './scopes';
import type { SplitPool } from './split';
import { type Guarantee, type Party, type PeriodInput, operator } from './terms';

export interface Move {
  terms: Guarantee;
  /** How many groups gave an amount to it. */
  groups: number;
  /** The name of the pool, or empty for the whole agreement. */
  pool: string;
  amountMinor: bigint;
  /** What each party gained or lost. */
  changes: Map<Party, bigint>;
}

export type Shares = Map<Party, bigint>;

/** One guarantee for one unit, with what every group that has it gives to it. */
interface Test {
  terms: Guarantee;
  /** The name of the pool, or empty for the whole agreement. */
  pool: string;
  amountMinor: bigint;
  groups: number;
}

export function guaranteesOf(input: PeriodInput, groups: readonly number[], split: readonly SplitPool[], order: readonly Party[]): { moves: Move[]; shares: Shares } {
  const perPool = new Map<string, Shares>();
  const total: Shares = new Map(order.map((party) => [party, 0n]));
  for (const one of split) {
    const shares = perPool.get(one.pool) ?? new Map<Party, bigint>(order.map((party) => [party, 0n]));
    perPool.set(one.pool, shares);
    addTo(shares, one.shares);
    addTo(total, one.shares);
  }
  const moves: Move[] = [];
  for (const { terms, pool, amountMinor, groups: number } of testsOf(input, groups)) {
    const shares = pool === '' ? total : perPool.get(pool);
    if (shares === undefined) continue;
    const changes = terms.kind === 'at-least' ? lift(shares, terms, amountMinor) : lower(shares, terms, amountMinor);
    if (changes.size === 0) continue;
    addTo(shares, changes);
    if (pool !== '') addTo(total, changes);
    moves.push({ terms, groups: number, pool, amountMinor, changes });
  }
  return { moves, shares: total };
}

function addTo(shares: Shares, changes: ReadonlyMap<Party, bigint>): void {
  for (const [party, amount] of changes) shares.set(party, (shares.get(party) ?? 0n) + amount);
}

/**
 * Amounts of several groups for the same party, kind and unit add up; the first group names the place in the order, the
 * last how it is settled. What was never counted is not tested.
 */
function testsOf(input: PeriodInput, groups: readonly number[]): Test[] {
  const tests = new Map<string, Test>();
  for (const group of groups) {
    const version = input.versions[group];
    const seen = new Map<string, number>();
    for (const terms of version?.guarantees ?? []) {
      for (const { unit, pool } of version === undefined ? [] : unitsOf(terms, poolsOf(version, input.machines))) {
        const facts = factsOf(input, group, unit);
        if (!facts.countedAtAll) continue;
        // Several guarantees of one agreement for one unit stay several.
        const same = `${terms.party}/${terms.kind}/${pool}`;
        seen.set(same, (seen.get(same) ?? 0) + 1);
        const key = `${same}/${seen.get(same) ?? 0}`;
        const before = tests.get(key);
        tests.set(key, { terms, pool, amountMinor: (before?.amountMinor ?? 0n) + amountFor(terms.amount, facts), groups: (before?.groups ?? 0) + 1 });
      }
    }
  }
  return [...tests.values()];
}

function unitsOf(terms: Guarantee, pools: readonly Pool[]): { unit: Unit; pool: string }[] {
  if (terms.scope === 'agreement') return [{ unit: { scope: 'agreement' }, pool: '' }];
  // A guarantee per machine needs pools of one machine each: elsewhere a machine has no share of its own.
  return pools.map((pool) => ({ unit: terms.scope === 'machine' ? { scope: 'machine', machine: pool.machines[0] ?? '' } : { scope: 'pool', pool }, pool: pool.name }));
}

function lift(shares: Shares, terms: Guarantee, amountMinor: bigint): Map<Party, bigint> {
  const shortMinor = amountMinor - (shares.get(terms.party) ?? 0n);
  if (shortMinor <= 0n) return new Map();
  if (terms.from === 'operator') return terms.party === operator ? new Map() : new Map([[terms.party, shortMinor], [operator, -shortMinor]]);
  const others = [...shares].filter(([party, share]) => party !== terms.party && share > 0n);
  const movedMinor = smallest([shortMinor, sum(others.map(([, share]) => share))]);
  if (movedMinor === 0n) return new Map();
  const parts = allocate(movedMinor, others.map(([, share]) => exact(share)));
  return new Map([[terms.party, movedMinor], ...others.map(([party], index): [Party, bigint] => [party, -(parts[index] ?? 0n)])]);
}

function lower(shares: Shares, terms: Guarantee, amountMinor: bigint): Map<Party, bigint> {
  const excessMinor = positive((shares.get(terms.party) ?? 0n) - amountMinor);
  if (excessMinor === 0n || terms.excessTo === terms.party) return new Map();
  return new Map([[terms.party, -excessMinor], [terms.excessTo, excessMinor]]);
}
