import type { CreateLawLimit, EndLawLimit, LawLimitListQuery, LawLimitRecord } from '#contracts/law-limit';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { insertLimit, selectLimit, selectLimitOverlapping, selectLimits, updateLimitEnd } from './limit.sql';
import { lockTaxArea, selectTaxArea } from './tax.sql';
import { limitConstraints, toLimitRecord } from './to-limit';

/**
 * Records what the law of the place allows. Terms that break it are refused from then on when they are written; those that
 * stand already keep their settlements from being reviewed until they are changed. What is numbered stays as it was.
 */
export async function createLimit(deps: Backoffice, caller: Caller, command: CreateLawLimit & { readonly areaId: string }): Promise<Outcome<LawLimitRecord>> {
  const { areaId, validFrom, validTo, source, document } = command;
  return perform(
    deps,
    caller,
    'law-limit.create',
    async ({ tx, now }) => {
      if ((await lockTaxArea(tx, areaId)) === null) return refused('not-found');
      if (validTo !== null && validTo <= validFrom) {
        return refusedFields('invalid-command', [{ path: ['validTo'], code: 'not-after-start', message: 'A limit ends after the day it begins.' }]);
      }
      const other = await selectLimitOverlapping(tx, { areaId, kind: document.kind, validFrom, validTo });
      if (other !== null) {
        const days = `${other.valid_from} to ${other.valid_to ?? 'further notice'}`;
        return refusedFields('invalid-command', [{ path: ['validFrom'], code: 'overlaps', message: `A limit of this kind is in force from ${days} (${other.source}).` }]);
      }
      return done(toLimitRecord(await insertLimit(tx, { id: command.id ?? deps.newId(), taxAreaId: areaId, validFrom, validTo, source, document, now })));
    },
    { constraints: limitConstraints },
  );
}

/** Ends a limit: from that day on the law no longer says so. */
export async function endLimit(
  deps: Backoffice,
  caller: Caller,
  command: EndLawLimit & { readonly areaId: string; readonly limitId: string },
): Promise<Outcome<LawLimitRecord>> {
  const { areaId, limitId, validTo } = command;
  return perform(deps, caller, 'law-limit.change', async ({ tx }) => {
    if ((await lockTaxArea(tx, areaId)) === null) return refused('not-found');
    const before = await selectLimit(tx, { areaId, id: limitId });
    if (before === null) return refused('not-found');
    if (before.valid_to !== null && before.valid_to <= validTo) return refused('wrong-state', { detail: `The limit ended on ${before.valid_to} already.` });
    if (validTo <= before.valid_from) {
      return refusedFields('invalid-command', [{ path: ['validTo'], code: 'not-after-start', message: `The limit is in force from ${before.valid_from} on.` }]);
    }
    return done(toLimitRecord(await updateLimitEnd(tx, { id: limitId, validTo })));
  });
}

const cursorSchema = z.tuple([z.string(), z.iso.date()]);

/** Limits of an area, by kind and date. */
export async function listLimits(deps: Backoffice, caller: Caller, query: LawLimitListQuery & { readonly areaId: string }): Promise<Outcome<Page<LawLimitRecord>>> {
  return perform(deps, caller, 'law-limit.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    if ((await selectTaxArea(tx, query.areaId)) === null) return refused('not-found');
    const rows = await selectLimits(tx, { areaId: query.areaId, after, limit: query.limit, on: query.on ?? null });
    return done(toPage({ rows, limit: query.limit, item: toLimitRecord, keyOf: (row) => [row.kind, row.valid_from] }));
  });
}
