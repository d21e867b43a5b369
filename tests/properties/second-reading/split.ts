// The split of what is left: exact shares first, whole units by largest remainder last.
import { type Exact, allocate, exact, positive, sum } from './numbers';
import type { OpenPool } from './charges';
import { amountFor, factsOf } from './scopes';
import type { Party, SettlementInput, ShareList, Split } from './terms';

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

export function splitOf(input: SettlementInput, group: number, pools: readonly OpenPool[]): SplitPool[] {
  const split = input.versions[group]?.split;
  if (split === undefined) throw new Error('A group has a version.');
  const totalMinor = sum(pools.map((open) => positive(open.leftMinor)));
  return pools.map((open) => {
    const blank = { pool: open.pool.name, group, leftMinor: open.leftMinor };
    if (open.leftMinor < 0n && split.loss === 'carry') return { ...blank, shares: new Map<Party, bigint>(), lossOutMinor: open.leftMinor };
    if (open.leftMinor < 0n) return { ...blank, shares: byWeights(open.leftMinor, flat(exact(1n), lowestList(split))), lossOutMinor: 0n };
    const weights = split.method === 'shares' ? flat(exact(1n), split.shares) : bandWeights({ input, group, open, totalMinor, split });
    return { ...blank, shares: byWeights(open.leftMinor, weights), lossOutMinor: 0n };
  });
}

function lowestList(split: Split): ShareList {
  return split.method === 'shares' ? split.shares : (split.bands[0]?.shares ?? []);
}

function flat(amount: Exact, shares: ShareList): SharedOut {
  return new Map(shares.map(({ party, share }) => [party, amount.mul(share)]));
}

function byWeights(amountMinor: bigint, weights: SharedOut): Map<Party, bigint> {
  const parts = allocate(amountMinor, [...weights.values()]);
  return new Map([...weights.keys()].map((party, index) => [party, parts[index] ?? 0n]));
}

/** The exact shares of what the thresholds look at: the pool's own money, or that of all pools with something left, of which each pool gets its part. */
function bandWeights(of: { input: SettlementInput; group: number; open: OpenPool; totalMinor: bigint; split: Bands }): SharedOut {
  const { split, open } = of;
  const facts = factsOf(of.input, of.group, split.scope === 'agreement' ? { scope: 'agreement' } : { scope: 'pool', pool: open.pool });
  const starts = split.bands.map((band) => amountFor({ amountMinor: band.fromMinor, per: split.per }, facts));
  const lookedAtMinor = split.scope === 'agreement' ? of.totalMinor : open.leftMinor;
  if (split.mode === 'whole') {
    const band = split.bands.findLast((_, index) => (starts[index] ?? 0n) <= lookedAtMinor);
    return flat(exact(lookedAtMinor), band?.shares ?? []);
  }
  const shared: SharedOut = new Map();
  split.bands.forEach((band, index) => {
    const start = starts[index] ?? 0n;
    const next = starts[index + 1];
    const end = next === undefined || lookedAtMinor < next ? lookedAtMinor : next;
    for (const [party, amount] of flat(exact(positive(end - start)), band.shares)) shared.set(party, (shared.get(party) ?? exact(0n)).add(amount));
  });
  return shared;
}
