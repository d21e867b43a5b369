// What the law of the place says about the figures of a period, as a whole.
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
    const { dividedMinor, siteMinor } = division(site, settled);
    if (siteMinor > ceiling(exact(positive(dividedMinor)).mul(highestSiteShare)) + oddUnits(settled)) broken.push('highest-site-share');
  }
  if (limits.noAdvances === true && advanceRepaidMinor > 0n) broken.push('no-advances');
  return broken;
}

/**
 * What a period breaks that was settled before and is divided otherwise now. Where it broke the limit before, too, only what
 * takes it further from the limit is refused; the odd units of the pools do not count.
 */
export function brokenAnew(limits: Limits, site: Party, before: PeriodSettlement, now: PeriodSettlement): Broken[] {
  if (!dividedAnew(site, before, now)) return [];
  const { highestSiteShare } = limits;
  return brokenLimits(limits, site, now, 0n).filter((limit) => {
    if (limit !== 'highest-site-share' || highestSiteShare === undefined) return true;
    const excess = (settled: PeriodSettlement): bigint => {
      const { dividedMinor, siteMinor } = division(site, settled);
      return siteMinor - ceiling(exact(positive(dividedMinor)).mul(highestSiteShare));
    };
    return excess(before) <= oddUnits(now) || excess(now) > excess(before) + oddUnits(now);
  });
}

/** Whether a period that was settled before is divided otherwise now: what was issued for it and stays is not asked about again. */
function dividedAnew(site: Party, before: PeriodSettlement, now: PeriodSettlement): boolean {
  const [was, is] = [division(site, before), division(site, now)];
  return was.dividedMinor !== is.dividedMinor || was.siteMinor !== is.siteMinor;
}

function oddUnits(settled: PeriodSettlement): bigint {
  const pools = settled.pools.filter((pool) => pool.shares.size > 0 && pool.leftMinor !== 0n).length;
  return BigInt(Math.max(pools - 1, 0));
}

function division(site: Party, settled: PeriodSettlement): { dividedMinor: bigint; siteMinor: bigint } {
  const chargesMinor = sum(settled.taken.filter((taken) => taken.to === site).map((taken) => taken.amountMinor));
  return { dividedMinor: sum([...settled.shares.values()]) + chargesMinor, siteMinor: (settled.shares.get(site) ?? 0n) + chargesMinor };
}
