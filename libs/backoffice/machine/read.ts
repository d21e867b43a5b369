import type { Machine, MachineListQuery } from '#contracts/machine';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { containsPattern, sitesFilter } from '../filter';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectMachine, selectMachines } from './machine.sql';
import { toMachine } from './to-machine';

/** One machine, and where it stands today. */
export async function readMachine(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Machine>> {
  return perform(deps, caller, 'machine.read', async ({ tx, now, refusal }) => {
    const row = await selectMachine(tx, { id: query.id, now });
    if (row === null) return refused('not-found');
    return refusal({ siteId: row.site_id }) ?? done(toMachine(row));
  });
}

const cursorSchema = z.tuple([z.string()]);
const placed = { yes: true, no: false } as const;

/** Machines by tag. */
export async function listMachines(deps: Backoffice, caller: Caller, query: MachineListQuery): Promise<Outcome<Page<Machine>>> {
  return perform(deps, caller, 'machine.read', async ({ tx, now, visibleSites }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectMachines(tx, {
      now,
      after: after?.[0] ?? null,
      limit: query.limit,
      pattern: containsPattern(query.search),
      kind: query.kind ?? null,
      siteId: query.siteId ?? null,
      placed: query.placed === undefined ? null : placed[query.placed],
      siteIds: sitesFilter(visibleSites()),
    });
    return done(toPage({ rows, limit: query.limit, item: toMachine, keyOf: (row) => [row.tag] }));
  });
}
