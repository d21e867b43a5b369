import { z } from 'zod';
import type { EvidenceTimestamp } from '#contracts/evidence';
import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page, PageQuery } from '#contracts/page';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { stampedBytes } from './stamp-heads';
import { selectStamps } from './stamp-heads.sql';

const cursorKey = z.tuple([z.int()]);

/** Heads that a time-stamp authority stamped, the newest first, with all that is needed to check them elsewhere. */
export function listEvidenceTimestamps(deps: Backoffice, caller: Caller, query: PageQuery): Promise<Outcome<Page<EvidenceTimestamp>>> {
  return perform<Page<EvidenceTimestamp>>(deps, caller, 'evidence.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorKey);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectStamps(tx, { below: after === null ? null : BigInt(after[0]), limit: query.limit + 1 });
    return done(
      toPage({
        rows,
        limit: query.limit,
        keyOf: (row) => [Number(row.size)],
        item: (row) => ({
          size: Number(row.size),
          root: row.root.toString('hex'),
          stampedAt: formatInstant(row.stamped_at),
          authority: row.authority,
          policy: row.policy,
          serialNumber: row.serial_number,
          trusted: row.trusted,
          data: Buffer.from(stampedBytes(row)).toString('utf8'),
          token: row.token.toString('base64'),
        }),
      }),
    );
  });
}
