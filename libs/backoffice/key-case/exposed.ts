import { formatInstant } from '#contracts/format';
import type { ExposedCollection, ExposedCollectionListQuery } from '#contracts/key-case';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectExposed, type ExposedRow } from './exposed.sql';

const cursorSchema = z.tuple([z.iso.datetime(), z.uuid(), z.uuid()]);

/** Collections of boxes that a lost key opened, the latest first; one that two cases expose comes once for each. */
export async function listExposedCollections(deps: Backoffice, caller: Caller, query: ExposedCollectionListQuery): Promise<Outcome<Page<ExposedCollection>>> {
  return perform(deps, caller, 'key-case.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectExposed(tx, { keyCaseId: query.keyCaseId, siteId: query.siteId, page: { after, limit: query.limit } });
    return done(toPage({ rows, limit: query.limit, item: toExposed, keyOf: (row) => [formatInstant(row.happened_at), row.collection_id, row.key_case_id] }));
  });
}

function toExposed(row: ExposedRow): ExposedCollection {
  return {
    collectionId: row.collection_id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    happenedAt: formatInstant(row.happened_at),
    keyCaseId: row.key_case_id,
    code: row.code,
    machines: row.machines,
  };
}
