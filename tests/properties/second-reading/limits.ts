// What the law of the place says about the figures of a settlement's own period.
import { ceiling, exact, positive, sum } from './numbers';
import type { PeriodSettlement } from './settle';
import type { Limits, Party } from './terms';

export type Broken = 'highest-site-share' | 'no-advances';

/**
 * The site may have its part of all shares and of the charges in its own favour: tax and the others' charges came before.
 * Where several pools are divided, each may leave it one odd unit.
 */
export function brokenLimits(limits: Limits, site: Party, settled: PeriodSettlement, advanceRepaidMinor: bigint): Broken[] {
  const broken: Broken[] = [];
  const { highestSiteShare } = limits;
  if (highestSiteShare !== undefined) {
    const chargesMinor = sum(settled.taken.filter((taken) => taken.to === site).map((taken) => taken.amountMinor));
    const dividedMinor = sum([...settled.shares.values()]) + chargesMinor;
    const siteMinor = (settled.shares.get(site) ?? 0n) + chargesMinor;
    const pools = settled.pools.filter((pool) => pool.shares.size > 0 && pool.leftMinor !== 0n).length;
    const oddMinor = BigInt(Math.max(pools - 1, 0));
    if (siteMinor > ceiling(exact(positive(dividedMinor)).mul(highestSiteShare)) + oddMinor) broken.push('highest-site-share');
  }
  if (limits.noAdvances === true && advanceRepaidMinor > 0n) broken.push('no-advances');
  return broken;
}
