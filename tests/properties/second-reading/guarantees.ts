// Guarantees and caps: tested once per settlement on what all groups gave each party, in the agreement's order.
import { allocate, exact, positive, smallest, sum } from './numbers';
import { type Pool, type Unit, amountFor, factsOf, poolsOf } from './scopes';
import type { SplitPool } from './split';
import { type Guarantee, type Party, type SettlementInput, operator } from './terms';

export interface Move {
  party: Party;
  kind: Guarantee['kind'];
  /** The name of the pool, or empty for the whole agreement. */
  pool: string;
  amountMinor: bigint;
  /** What each party gained or lost. */
  changes: Map<Party, bigint>;
}

export type Shares = Map<Party, bigint>;

/** One guarantee of the agreement, with what every version that has it says about it. */
interface Test {
  terms: Guarantee;
  amounts: { group: number; amount: Guarantee['amount'] }[];
}

export function guaranteesOf(input: SettlementInput, split: readonly SplitPool[], order: readonly Party[]): { moves: Move[]; shares: Shares } {
  const perPool = new Map<string, Shares>();
  const total: Shares = new Map(order.map((party) => [party, 0n]));
  for (const one of split) {
    const shares = perPool.get(one.pool) ?? new Map<Party, bigint>(order.map((party) => [party, 0n]));
    perPool.set(one.pool, shares);
    addTo(shares, one.shares);
    addTo(total, one.shares);
  }
  const moves: Move[] = [];
  for (const test of testsOf(input)) {
    const pools: (Pool | undefined)[] = test.terms.scope === 'agreement' ? [undefined] : poolsEver(input);
    for (const pool of pools) {
      const shares = pool === undefined ? total : perPool.get(pool.name);
      const amountMinor = amountOf(input, test, pool);
      if (shares === undefined || amountMinor === undefined) continue;
      const changes = test.terms.kind === 'at-least' ? lift(shares, test.terms, amountMinor) : lower(shares, test.terms, amountMinor);
      if (changes.size === 0) continue;
      addTo(shares, changes);
      if (pool !== undefined) addTo(total, changes);
      moves.push({ party: test.terms.party, kind: test.terms.kind, pool: pool?.name ?? '', amountMinor, changes });
    }
  }
  return { moves, shares: total };
}

function addTo(shares: Shares, changes: ReadonlyMap<Party, bigint>): void {
  for (const [party, amount] of changes) shares.set(party, (shares.get(party) ?? 0n) + amount);
}

/** Versions say the same guarantee each in its own words; the first names its place, the last how it is settled. */
function testsOf(input: SettlementInput): Test[] {
  const tests = new Map<string, Test>();
  input.versions.forEach((version, group) => {
    const seen = new Map<string, number>();
    for (const terms of version.guarantees) {
      const same = `${terms.party}/${terms.kind}/${terms.scope}`;
      seen.set(same, (seen.get(same) ?? 0) + 1);
      const key = `${same}/${seen.get(same) ?? 0}`;
      const amounts = [...(tests.get(key)?.amounts ?? []), { group, amount: terms.amount }];
      tests.set(key, { terms, amounts });
    }
  });
  return [...tests.values()];
}

function poolsEver(input: SettlementInput): Pool[] {
  const pools = new Map<string, Pool>();
  for (const version of input.versions) for (const pool of poolsOf(version, input.machines)) if (!pools.has(pool.name)) pools.set(pool.name, pool);
  return [...pools.values()];
}

/** The amounts of all groups together; none where nothing was counted, because then there is nothing to test. */
function amountOf(input: SettlementInput, test: Test, pool: Pool | undefined): bigint | undefined {
  const unit: Unit = pool === undefined ? { scope: 'agreement' } : { scope: 'pool', pool };
  const counted = test.amounts.map(({ group, amount }) => ({ amount, facts: factsOf(input, group, unit) })).filter(({ facts }) => facts.counted);
  return counted.length === 0 ? undefined : sum(counted.map(({ amount, facts }) => amountFor(amount, facts)));
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
