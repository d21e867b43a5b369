// The split of what is left: exact shares first, whole units by largest remainder last.
import { type Exact, allocate, exact, positive, sum } from './numbers';
import type { OpenPool } from './charges';
import { type Unit, type UnitFacts, amountFor, factsOf } from './scopes';
import type { Party, PeriodInput, ShareList, Split } from './terms';

export interface SplitPool {
  pool: string;
  group: number;
  /** What was there to split. */
  leftMinor: bigint;
  shares: Map<Party, bigint>;
  /** Zero or below. */
  lossOutMinor: bigint;
}

type Bands = Extract<Split, { method: 'bands' }>;
type SharedOut = Map<Party, Exact>;

export function splitOf(input: PeriodInput, group: number, pools: readonly OpenPool[]): SplitPool[] {
  const split = input.versions[group]?.split;
  if (split === undefined) throw new Error('A group has a version.');
  const shared = pools.map((open) => {
    const blank = { pool: open.pool.name, group, leftMinor: open.leftMinor };
    if (open.leftMinor < 0n && split.loss === 'carry') return { ...blank, shares: new Map<Party, bigint>(), lossOutMinor: open.leftMinor };
    if (open.leftMinor < 0n) return { ...blank, shares: byWeights(open.leftMinor, flat(exact(1n), lowestList(split))), lossOutMinor: 0n };
    if (split.method === 'shares') return { ...blank, shares: byWeights(open.leftMinor, flat(exact(1n), split.shares)), lossOutMinor: 0n };
    const unit: Unit = split.scope === 'agreement' ? { scope: 'agreement' } : { scope: 'pool', pool: open.pool };
    // Under thresholds of the whole agreement the pools are shared out below, all of them together.
    const lookedAtMinor = split.scope === 'agreement' ? 0n : open.leftMinor;
    return { ...blank, shares: byWeights(lookedAtMinor, bandWeights(split, lookedAtMinor, factsOf(input, group, unit))), lossOutMinor: 0n };
  });
  if (split.method === 'bands' && split.scope === 'agreement') shareTogether(shared, split, factsOf(input, group, { scope: 'agreement' }));
  return shared;
}

/** The sum of what is left goes to the parties; back to the pools one after the other, each by what the parties still have to get. */
function shareTogether(pools: SplitPool[], split: Bands, facts: UnitFacts): void {
  const withSomething = pools.filter((pool) => pool.leftMinor > 0n);
  const totalMinor = sum(withSomething.map((pool) => pool.leftMinor));
  const due = byWeights(totalMinor, bandWeights(split, totalMinor, facts));
  for (const pool of withSomething) {
    pool.shares = byWeights(pool.leftMinor, new Map([...due].map(([party, amount]) => [party, exact(amount)])));
    for (const [party, share] of pool.shares) due.set(party, (due.get(party) ?? 0n) - share);
  }
}

export function lowestList(split: Split): ShareList {
  return split.method === 'shares' ? split.shares : (split.bands[0]?.shares ?? []);
}

export function flat(amount: Exact, shares: ShareList): SharedOut {
  return new Map(shares.map(({ party, share }) => [party, amount.mul(share)]));
}

export function byWeights(amountMinor: bigint, weights: SharedOut): Map<Party, bigint> {
  const parts = allocate(amountMinor, [...weights.values()]);
  return new Map([...weights.keys()].map((party, index) => [party, parts[index] ?? 0n]));
}

/** The exact shares of an amount between thresholds that grow with the days covered; where nothing was counted at all they stand as they are. */
function bandWeights(split: Bands, amountMinor: bigint, facts: UnitFacts): SharedOut {
  const starts = split.bands.map((band) => (facts.countedAtAll ? amountFor({ amountMinor: band.fromMinor, per: split.per }, facts) : band.fromMinor));
  if (split.mode === 'whole') {
    const band = split.bands.findLast((_, index) => (starts[index] ?? 0n) <= amountMinor);
    return flat(exact(amountMinor), band?.shares ?? []);
  }
  const shared: SharedOut = new Map();
  split.bands.forEach((band, index) => {
    const start = starts[index] ?? 0n;
    const next = starts[index + 1];
    const end = next === undefined || amountMinor < next ? amountMinor : next;
    for (const [party, amount] of flat(exact(positive(end - start)), band.shares)) shared.set(party, (shared.get(party) ?? exact(0n)).add(amount));
  });
  return shared;
}
