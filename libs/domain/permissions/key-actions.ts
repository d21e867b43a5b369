import { always, office, officeAndReview, ownSites, row, staff, type Row } from './grants';

/** The rows about keys. */
export const keyPermissions = {
  // Who looks after the keys, and who looks after those who do.
  'key-code.read': row('read', { ...officeAndReview, custodian: always }),
  'key-code.create': row('custody', { owner: always, custodian: always }),
  'key-code.change': row('custody', { owner: always, custodian: always }),
  'machine-lock.read': row('read', { ...officeAndReview, custodian: always }),
  'machine-lock.fit': row('custody', { owner: always, custodian: always }),
  'machine-lock.remove': row('custody', { owner: always, custodian: always }),
  'machine-lock.change': row('custody', { owner: always, custodian: always }),
  'key-site.read': row('read', { ...officeAndReview, custodian: always }),
  // Whoever hands in a key says into which store.
  'key-store.read': row('read', { ...officeAndReview, custodian: always, collector: always }),
  'key-store.create': row('custody', { owner: always, custodian: always }),
  // A custodian does not say who answers for the keys.
  'key-store.appoint': row('custody', { owner: always }),
  'key-place.read': row('read', { ...officeAndReview, custodian: always, 'site-manager': ownSites }),
  'key-place.create': row('custody', { owner: always, custodian: always }),
  'key-place.change': row('custody', { owner: always, custodian: always }),
  'key-ring.read': row('read', { ...officeAndReview, custodian: always }),
  'key-ring.create': row('custody', { owner: always, custodian: always }),
  'key-ring.change': row('custody', { owner: always, custodian: always }),
  'key-exception.read': row('read', { ...officeAndReview, custodian: always }),
  'key-exception.grant': row('session-only', { owner: always }),
  'key-exception.end': row('session-only', { owner: always }),
  'key-copy.read': row('read', { ...officeAndReview, custodian: always }),
  'key-copy.make': row('custody', { owner: always, custodian: always }),
  'custody-event.read': row('read', { ...officeAndReview, custodian: always }),
  // A collector says what they give, take or miss themselves, a site manager what of the access keys at their site is handed
  // on there or missing; the use case holds them to it.
  'custody-event.record': row('custody', { owner: always, custodian: always, collector: always, 'site-manager': ownSites }),
  // Everybody who may be given a key, for themselves: a token is nobody who could give or receive.
  'custody.acknowledge': row('session-only', { ...office, reviewer: always, collector: always, custodian: always, 'site-manager': always }),
  'custody.sign': row('custody', { owner: always, custodian: always, collector: always, 'site-manager': always }),
  'custody-link.create': row('custody', { owner: always, custodian: always }),
  // What a key opens, what lies there, and who could open a box.
  'key-reach.read': row('read', { ...officeAndReview, custodian: always }),
  'key-attention.read': row('read', { ...officeAndReview, custodian: always }),
  // A site manager meets the access keys with their own staff, never who holds cash-box keys.
  'key-holding.read': row('read', { ...officeAndReview, custodian: always, 'site-manager': ownSites }),
  // A loss is no secret in the office; who may open, confirm and close is who looks after the keys. A key that was found
  // may have been copied: to let its locks be is the owner's risk alone.
  'key-case.read': row('read', { ...officeAndReview, custodian: always }),
  'key-case.open': row('custody', { owner: always, custodian: always }),
  'key-case.confirm': row('custody', { owner: always, custodian: always }),
  'key-case.close': row('custody', { owner: always, custodian: always }),
  'key-case.end': row('custody', { owner: always }),
  // Counted by a person who stands for it, so never by a token; who collects has their own keys, and says so.
  'key-inventory.read': row('read', { ...officeAndReview, custodian: always }),
  'key-inventory.open': row('custody', { ...office, custodian: always }),
  'key-inventory.count': row('session-only', { ...office, reviewer: always, custodian: always }),
  // Everybody who may hold a key, of what they hold themselves.
  'key-inventory.attest': row('session-only', { ...office, reviewer: always, custodian: always, collector: always, 'site-manager': always }),
  'key-inventory.close': row('session-only', { ...office, reviewer: always }),
  // What the owner relaxed is no secret among those whom it concerns; who relaxes is a person who stands for it.
  'policy.read': row('read', { ...officeAndReview, custodian: always }),
  'policy.decide': row('session-only', { owner: always }),
  // A site's key is cut like those of other sites: which these are is nothing for its staff.
  'own-keys.read': row('read', { ...staff, 'site-manager': ownSites }),
  // Whether who emptied the boxes had a key to them says who holds cash-box keys: nothing for a site.
  'collection-key.read': row('read', { ...officeAndReview, custodian: always }),
  'collection-key.name': row('collect', { ...office, custodian: always }),
} as const satisfies { readonly [action: string]: Row };
