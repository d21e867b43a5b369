/** Opens the pools of a group: net takings less tax before the split, and the loss that was carried in. */
import { carriedToPools } from '#domain/settlement/carried-to-pools';
import type { GroupRun, Pool } from '#domain/settlement/group-runs';
import { linesRef, writeLine, type LineSink } from '#domain/settlement/line-sink';
import type { LossCarry } from '#domain/settlement/types';

export function openPools(sink: LineSink, run: GroupRun, losses: readonly LossCarry[]): void {
  for (const loss of losses) {
    for (const part of carriedToPools(run, loss)) part.pool.lossInMinor += part.amountMinor;
  }
  for (const pool of run.pools) {
    const netMinor = pool.machines.reduce((sum, entry) => sum + entry.netMinor, 0n);
    pool.leftMinor = netMinor - pool.taxMinor + pool.lossInMinor;
    if (isBusy(pool)) writeOpening(sink, run, pool);
  }
}

/** A pool in which nothing happened and nothing waits leaves no lines. */
export function isBusy(pool: Pool): boolean {
  return pool.lossInMinor !== 0n || pool.taxMinor !== 0n || pool.machines.some((entry) => entry.cell !== null);
}

function writeOpening(sink: LineSink, run: GroupRun, pool: Pool): void {
  const group = run.group.number;
  const about = { group, poolKey: pool.key };
  const lossKey = `loss-in/${group}/${pool.key}`;
  if (pool.lossInMinor !== 0n) {
    writeLine(sink, { key: lossKey, step: 'charges', kind: 'loss-in', about, amountMinor: pool.lossInMinor }, () => ({
      formula: 'carried-from-before',
      rule: { of: 'terms', versionId: run.group.versionId, pointer: '/loss' },
    }));
  }
  writeLine(sink, { key: `opening/${group}/${pool.key}`, step: 'charges', kind: 'pool-opening', about, amountMinor: pool.leftMinor }, () => ({
    formula: 'opening',
    inputs: linesRef([
      ...pool.machines.flatMap((entry) => (entry.cell === null ? [] : [`takings/${group}/${entry.machine.id}/net-takings`])),
      ...pool.taxKeys,
      ...(pool.lossInMinor === 0n ? [] : [lossKey]),
    ]),
    rule: { of: 'terms', versionId: run.group.versionId, pointer: '/grouping' },
  }));
}
