import { z } from 'zod';
import type { MailedHead } from '#contracts/evidence';
import { formatInstant, localDateSchema } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page, PageQuery } from '#contracts/page';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectMailed } from './send-heads.sql';

const cursorKey = z.tuple([localDateSchema]);

/**
 * Heads that went out by mail, the newest first: which copies lie outside, and since when. The list itself proves nothing, as
 * whoever rewrites the log can rewrite it; the mails do.
 */
export function listMailedHeads(deps: Backoffice, caller: Caller, query: PageQuery): Promise<Outcome<Page<MailedHead>>> {
  return perform<Page<MailedHead>>(deps, caller, 'evidence.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorKey);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectMailed(tx, { before: after === null ? null : after[0], limit: query.limit + 1 });
    return done(
      toPage({
        rows,
        limit: query.limit,
        keyOf: (row) => [row.sent_on],
        item: (row) => ({ mailedOn: row.sent_on, mailedAt: formatInstant(row.sent_at), size: Number(row.size), root: row.root.toString('hex'), addresses: row.addresses }),
      }),
    );
  });
}
