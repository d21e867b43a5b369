import type { CustodyEvent, CustodySide } from '#contracts/custody';
import { visibleSites } from '#domain/permissions/can';
import type { Caller } from '../caller';

type Sites = 'every' | readonly string[];
type Holder = CustodyEvent['from'];

/** A site's staff confirm what they gave or got, and learn nothing of who is at which other site. */
export function withoutOtherSites<Item extends { readonly from: Holder; readonly to: Holder }>(item: Item, sites: Sites): Item {
  const seen = (holder: Holder): Holder => (holder === null || isSeen(holder, sites) ? holder : { ...holder, code: 'ELSEWHERE', name: 'Somebody at another site', siteId: null, siteCode: null });
  return { ...item, from: seen(item.from), to: seen(item.to) };
}

/** The event as who speaks for that side may see it: where the other side is at another site, nothing that was said there or written of it. */
export function eventFor(caller: Caller, { event, side }: { readonly event: CustodyEvent; readonly side: CustodySide }): CustodyEvent {
  const sites = visibleSites(caller, 'own-keys.read');
  if (isSeen(event.from, sites) && isSeen(event.to, sites)) return event;
  const own = <Said extends { readonly side: CustodySide }>(said: readonly Said[]): Said[] => said.filter((each) => each.side === side);
  return { ...withoutOtherSites(event, sites), reason: '', acknowledgements: own(event.acknowledgements), denials: own(event.denials) };
}

const isSeen = (holder: Holder, sites: Sites): boolean => holder === null || sites === 'every' || holder.siteId === null || sites.includes(holder.siteId);
