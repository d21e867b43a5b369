import { always, office, officeAndReview, row, type Row } from './grants';

/** What is done about rounds, the phones on which visits are entered, and the visits that these send. */
export const roundPermissions = {
  'round.read': row('read', officeAndReview),
  'round.plan': row('collect', office),
  // What probably lies in the boxes: for who plans rounds, never for who counts.
  'collection-due.read': row('read', office),
  'collection-rhythm.set': row('set-up', office),
  // What there is to count at a site, and nothing that was counted: whoever enters a visit or opens its bags is asked for it.
  'site-boxes.read': row('read', { ...office, collector: always }),
  // Everybody's own, and of the person signed in: a token goes on no round.
  'own-stops.read': row('session-only', { ...office, collector: always }),
  'device.read': row('session-only', { ...office, collector: always }),
  'device.register': row('session-only', { ...office, collector: always }),
  'device.revoke': row('session-only', office),
  'device.release': row('session-only', office),
  'visit.send': row('session-only', { ...office, collector: always }),
  'visit.read': row('read', { ...office, auditor: always }),
  'visit.rule': row('collect', office),
  // Of one that was withdrawn nothing is left to rule, and somebody has to know of its cash.
  'visit.see': row('collect', office),
  // Whoever collects, of their own.
  'visit.withdraw': row('session-only', { ...office, collector: always }),
} as const satisfies { readonly [action: string]: Row };
