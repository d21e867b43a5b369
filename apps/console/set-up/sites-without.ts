import type { Agreement, Site } from '../api/shapes';

/** Open sites at which nothing is agreed on that day or later: what is collected there cannot be settled. */
export function sitesWithout({ sites, agreements, on }: { readonly sites: readonly Site[]; readonly agreements: readonly Agreement[]; readonly on: string }): readonly Site[] {
  const agreed = new Set(agreements.filter(({ endedOn }) => endedOn === null || endedOn > on).map(({ siteId }) => siteId));
  return sites.filter(({ id, closedOn }) => (closedOn === null || closedOn > on) && !agreed.has(id));
}
