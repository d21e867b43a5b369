import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page, PageQuery } from '#contracts/page';
import type { LateChange } from '#contracts/settlement';
import type { LocalDate } from '#domain/calendar/local-date';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { listLateChangeRows, type LateChangeRow } from './late-changes.sql';

/** What changed in numbered periods and waits to be settled by difference, oldest first. */
export function listLateChanges(deps: Backoffice, caller: Caller, query: PageQuery): Promise<Outcome<Page<LateChange>>> {
  return perform<Page<LateChange>>(deps, caller, 'late-change.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, z.tuple([z.iso.datetime(), z.uuid()]));
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await listLateChangeRows(tx, { after: after === null ? null : { recordedAt: after[0], id: after[1] }, limit: query.limit + 1 });
    return done(toPage({ rows, limit: query.limit, item: body, keyOf: (row) => [row.recorded_at.toISOString(), row.id] }));
  });
}

function body(row: LateChangeRow): LateChange {
  return {
    id: row.id,
    agreementId: row.agreement_id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    startsOn: row.starts_on as LocalDate,
    endsBefore: row.ends_before as LocalDate,
    cause: row.cause,
    sourceId: row.source_id,
    recordedAt: formatInstant(row.recorded_at),
  };
}
