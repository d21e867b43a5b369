import { always, office, officeAndReview, ownSites, ownSitesWhileIn, row, whileIn, type Row } from './grants';

/** What is done about a collection: entered, counted, accepted, and put right. */
export const collectionPermissions = {
  'collection.read': row('read', {
    ...officeAndReview,
    collector: always,
    'site-manager': ownSitesWhileIn('accepted'),
  }),
  'collection.create': row('collect', { ...office, collector: always }),
  // A bag may arrive after the others were counted: the office adds it, to whom the counts before are no secret.
  'collection.count': row('collect', {
    owner: whileIn('open', 'counted'),
    bookkeeper: whileIn('open', 'counted'),
    collector: whileIn('open'),
  }),
  // What the meters imply comes from who read them; once the room has counted, through the office; after acceptance what nobody said.
  'collection.meter': row('collect', {
    owner: whileIn('open', 'counted', 'accepted'),
    bookkeeper: whileIn('open', 'counted', 'accepted'),
    collector: whileIn('open'),
  }),
  // Whoever carried the cash does not also declare the count right.
  'collection.accept': row('collect', { owner: whileIn('counted'), bookkeeper: whileIn('counted') }),
  // A mistake, told by somebody who answers for the books; once accepted it is corrected instead.
  'collection.discard': row('collect', { owner: whileIn('open', 'counted'), bookkeeper: whileIn('open', 'counted') }),
  'collection.correct': row('collect', { owner: whileIn('counted', 'accepted'), bookkeeper: whileIn('counted', 'accepted') }),
  // What a site gave back to players, before a collection takes it over. Whoever collects takes it over, and enters no claims.
  'refund-claim.read': row('read', { ...officeAndReview, collector: always, 'site-manager': ownSites }),
  'refund-claim.enter': row('collect', { ...office, 'site-manager': ownSites }),
  'refund-claim.withdraw': row('collect', { owner: whileIn('open'), bookkeeper: whileIn('open'), 'site-manager': ownSitesWhileIn('open') }),
  'refund-claim.refuse': row('collect', { owner: whileIn('open'), bookkeeper: whileIn('open') }),
  // The office puts right what was accepted without the count of a box.
  'uncounted-box.read': row('read', officeAndReview),
  'collection.count-late': row('collect', { owner: whileIn('accepted'), bookkeeper: whileIn('accepted') }),
} as const satisfies { readonly [action: string]: Row };
