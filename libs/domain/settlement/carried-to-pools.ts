/**
 * Where a carried loss or rest belongs now. Usually its pool is still there; when pools were formed anew or a machine
 * has left, it goes to the pools that its machines are in now, by their positive net takings, else to the first pool.
 */
import { allocate } from '#domain/money/allocation';
import type { GroupRun, Pool } from '#domain/settlement/group-runs';

export interface CarriedPart {
  readonly pool: Pool;
  readonly amountMinor: bigint;
}

export function carriedToPools(
  run: GroupRun,
  { machineIds, amountMinor }: { readonly machineIds: readonly string[]; readonly amountMinor: bigint },
): CarriedPart[] {
  const wanted = new Set(machineIds);
  const weights = new Map<Pool, bigint>();
  for (const entry of run.machines) {
    const pool = run.poolOf.get(entry.machine.id);
    if (pool === undefined || !wanted.has(entry.machine.id)) continue;
    weights.set(pool, (weights.get(pool) ?? 0n) + (entry.netMinor > 0n ? entry.netMinor : 0n));
  }
  const [first] = run.pools;
  if (weights.size === 0) return first === undefined ? [] : [{ pool: first, amountMinor }];
  const pools = run.pools.filter((pool) => weights.has(pool));
  const parts = allocate({ amountMinor, weights: pools.map((pool) => weights.get(pool) ?? 0n) });
  return pools.map((pool, index) => ({ pool, amountMinor: parts[index] ?? 0n }));
}
