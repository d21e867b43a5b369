/** Rests of charges on their way from one group or settlement to the next. */
import { carriedToPools } from '#domain/settlement/carried-to-pools';
import type { GroupRun } from '#domain/settlement/group-runs';
import type { ChargeRest } from '#domain/settlement/types';

/** The rests as they stand in the pools of today, oldest first; what belongs together is one rest. */
export function restsInPools(run: GroupRun, rests: readonly ChargeRest[]): ChargeRest[] {
  const placed = rests.flatMap((rest): ChargeRest[] => {
    if (rest.scope === 'agreement') return [rest];
    return carriedToPools(run, rest).map(({ pool, amountMinor }) => ({
      ...rest,
      poolKey: pool.key,
      machineIds: rest.scope === 'machine' ? rest.machineIds : pool.machines.map((entry) => entry.machine.id),
      amountMinor,
    }));
  });
  return mergeRests(placed).sort((first, second) => (first.since < second.since ? -1 : first.since > second.since ? 1 : 0));
}

/** Adds up rests of one charge, pool and age. */
export function mergeRests(rests: readonly ChargeRest[]): ChargeRest[] {
  const merged = new Map<string, ChargeRest>();
  for (const rest of rests) {
    if (rest.amountMinor === 0n) continue;
    const key = JSON.stringify([rest.chargeId, rest.to, rest.scope, rest.scope === 'machine' ? rest.machineIds : rest.poolKey, rest.since]);
    const before = merged.get(key);
    merged.set(key, before === undefined ? rest : { ...before, amountMinor: before.amountMinor + rest.amountMinor });
  }
  return [...merged.values()];
}
