// What the law of the place says about a finished settlement.
import { exact, round } from './numbers';
import type { Limits } from './terms';

export type Broken = 'highest-site-share' | 'no-advances';

/** `leftMinor` is what all parties shared plus what the site was charged in favour of, before the site's own charges. */
export function brokenLimits(limits: Limits, found: { siteMinor: bigint; siteChargesMinor: bigint; sharedMinor: bigint; advanceRepaidMinor: bigint }): Broken[] {
  const broken: Broken[] = [];
  const { highestSiteShare } = limits;
  if (highestSiteShare !== undefined) {
    const highestMinor = round(exact(found.sharedMinor + found.siteChargesMinor).mul(highestSiteShare));
    if (found.siteMinor + found.siteChargesMinor > highestMinor) broken.push('highest-site-share');
  }
  if (limits.noAdvances === true && found.advanceRepaidMinor > 0n) broken.push('no-advances');
  return broken;
}
