import type { Installation, InstallationListQuery } from '#contracts/installation';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { sitesFilter } from '../filter';
import { selectMachine } from '../machine/machine.sql';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectInstallation, selectInstallations } from './installation.sql';
import { toInstallation } from './to-installation';

/** One installation. A site manager sees those of machines that stand at their site today. */
export async function readInstallation(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<Installation>> {
  return perform(deps, caller, 'installation.read', async ({ tx, now, refusal }) => {
    const row = await selectInstallation(tx, query.id);
    if (row === null) return refused('not-found');
    const machine = await selectMachine(tx, { id: row.machine_id, now });
    return refusal({ siteId: machine?.site_id ?? null }) ?? done(toInstallation(row));
  });
}

const cursorSchema = z.tuple([z.iso.date(), z.uuid()]);

/** Installations, the latest first. */
export async function listInstallations(deps: Backoffice, caller: Caller, query: InstallationListQuery): Promise<Outcome<Page<Installation>>> {
  return perform(deps, caller, 'installation.read', async ({ tx, now, visibleSites }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectInstallations(tx, {
      now,
      after,
      limit: query.limit,
      machineId: query.machineId ?? null,
      gameId: query.gameId ?? null,
      on: query.on ?? null,
      siteIds: sitesFilter(visibleSites()),
    });
    return done(toPage({ rows, limit: query.limit, item: toInstallation, keyOf: (row) => [row.installed_on, row.id] }));
  });
}
