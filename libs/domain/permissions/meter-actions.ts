import { always, office, officeAndReview, row, type Row } from './grants';

/** What meters show, what machines report, and when they did not work. */
export const meterPermissions = {
  'machine-token.read': row('session-only', office),
  'machine-token.make': row('session-only', office),
  'machine-token.revoke': row('session-only', office),
  'machine-report.read': row('read', { ...office, auditor: always }),
  // Which meters there are tells nobody what they show: whoever collects reads them, and is shown no reading.
  'meter.read': row('read', { ...officeAndReview, collector: always }),
  'meter.set-up': row('set-up', office),
  'meter-reading.read': row('read', officeAndReview),
  'meter-reading.record': row('collect', { ...office, collector: always }),
  // What was played across a change of price is known at neither price without its reading: whoever collects could have every box passed over.
  'meter-price.change-unread': row('collect', office),
  'meter-price.correct': row('collect', office),
  // The same of a board that was opened unread.
  'board-opening.record': row('collect', office),
  'board-opening.take-back': row('collect', office),
  'audit-file.read': row('read', { ...officeAndReview, collector: always }),
  'audit-file.stage': row('collect', { ...office, collector: always }),
  'audit-file.accept': row('collect', { ...office, collector: always }),
  'meter-reading.correct': row('collect', office),
  'outage.read': row('read', { ...officeAndReview, collector: always }),
  'outage.report': row('collect', { ...office, collector: always }),
  // The second person, where who emptied the box says that the machine did not work.
  'outage.confirm': row('collect', { ...office, reviewer: always }),
  // Takes an explanation away from counts, and so is the office's.
  'outage.take-back': row('collect', office),
  'machine-fault.dismiss': row('collect', office),
} as const satisfies { readonly [action: string]: Row };
