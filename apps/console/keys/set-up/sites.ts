import type { KeyCopy, KeySite, Person } from '../../api/shapes';
import { matches } from '../../format/search';

export const lacks = ['all', 'cash-box', 'play-area', 'keys'] as const;
/** What a list of sites is narrowed to: those where something is missing. */
export type Lack = (typeof lacks)[number];

/** `uncovered`: ids of the sites where a machine's play area is opened by no key that its staff have, as the list of what needs attention has them. */
export function narrowed(sites: readonly KeySite[], { search, lack, uncovered }: { search: string; lack: Lack; uncovered: ReadonlySet<string> }): readonly KeySite[] {
  return sites.filter((site) => isLacking(site, lack, uncovered) && matches(search, [site.siteCode, site.siteName, ...site.cuts.map(({ code }) => code)]));
}

function isLacking(site: KeySite, lack: Lack, uncovered: ReadonlySet<string>): boolean {
  switch (lack) {
    case 'all':
      return true;
    case 'cash-box':
      return site.cashBoxLocked < site.machines;
    case 'play-area':
      return site.playAreaLocked < site.machines;
    case 'keys':
      return uncovered.has(site.siteId);
  }
}

/** Whether a machine has a lock like that is counted per site; what everything hangs on counts for both. */
export function withoutLock(site: KeySite, opens: 'cash-box' | 'play-area' | 'everything'): number {
  return site.machines - (opens === 'play-area' ? site.playAreaLocked : site.cashBoxLocked);
}

/** What a site is about to be given, or what is missing for it. */
export interface Handing {
  readonly site: KeySite;
  /** The place that it has; null where one is to be set up. */
  readonly placeId: string | null;
  readonly personId: string | null;
  readonly copy: KeyCopy | null;
  /** Cuts of access keys that its locks take, most machines first. */
  readonly codes: readonly { readonly keyCodeId: string; readonly code: string }[];
}

/**
 * For each site whose staff have no key the next copy in a store that fits most of its play areas, no copy twice, and for
 * all of them somebody of the site who may answer for it.
 */
export function planHandOut(of: { sites: readonly KeySite[]; copies: readonly KeyCopy[]; people: readonly Person[] }): readonly Handing[] {
  const free = of.copies.filter((copy) => copy.class === 'access' && copy.where?.holder?.kind === 'store');
  const taken = new Set<string>();
  return of.sites.map((site) => {
    const codes = site.cuts.filter((cut) => cut.class === 'access').sort((a, b) => b.machines - a.machines);
    const needs = site.copies === 0;
    const copy = (needs ? free.find((each) => each.keyCodeId === codes[0]?.keyCodeId && !taken.has(each.id)) : undefined) ?? null;
    if (copy !== null) taken.add(copy.id);
    const person = of.people.find((each) => each.siteId === site.siteId && each.leftOn === null);
    return { site, placeId: site.places[0]?.keyPlaceId ?? null, personId: person?.id ?? null, copy, codes };
  });
}
