import { always, office, officeAndReview, row, type Row } from './grants';

/** Who may say where money goes to, and send it there. A part of the permission table, which is in `table.ts`. */
export const moneyOutPermissions = {
  // Where money goes to: by people who are signed in, never by a token; whoever proposed it is no second person (asked by the use case).
  'bank-detail.read': row('read', officeAndReview),
  'bank-detail.propose': row('session-only', office),
  'bank-detail.confirm': row('session-only', { ...office, reviewer: always }),
  'bank-detail.reject': row('session-only', { ...office, reviewer: always }),
  'bank-detail.withdraw': row('session-only', office),
  'payment-run.read': row('read', { ...office, auditor: always }),
  'payment-run.make': row('settle', office),
  // The file names accounts in full, and whoever confirms it answers for money that leaves: signed in.
  'payment-run.download': row('session-only', office),
  'payment-run.confirm': row('session-only', office),
  'year-end.read': row('read', { ...office, auditor: always }),
  // Taxpayer numbers in full: by people who are signed in.
  'year-end.export': row('session-only', office),
  'taxpayer-number.record': row('session-only', office),
} as const satisfies { readonly [action: string]: Row };
