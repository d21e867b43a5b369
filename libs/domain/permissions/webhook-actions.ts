import { always, row, type Row } from './grants';

/** Who may say which other programs are told what happens. A part of the permission table, which is in `table.ts`. */
export const webhookPermissions = {
  'webhook.read': row('read', { owner: always, auditor: always }),
  // Whoever makes one is told everything from then on: by people who are signed in, never by a token that leaked.
  'webhook.create': row('session-only', { owner: always }),
  'webhook.change': row('session-only', { owner: always }),
  'webhook.remove': row('session-only', { owner: always }),
  'webhook.rotate-secret': row('session-only', { owner: always }),
  // To an address that an owner chose, what it was to be told anyway.
  'webhook.test': row('set-up', { owner: always }),
  'webhook.replay': row('set-up', { owner: always }),
} as const satisfies { readonly [action: string]: Row };
