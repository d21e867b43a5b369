import type { KeyHolding, KeyHoldingExportQuery, KeyHoldingListQuery } from '#contracts/key-question';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectFittedCounts, selectHoldings, type HoldingRow, type HoldingsFilter } from './holdings.sql';
import { momentOf, type Moment } from './moment';
import { planOnce } from './plan-once.sql';
import { csvTable } from '../csv';
import { toWhereabouts } from './whereabouts.sql';

const cursorSchema = z.tuple([z.string()]);

/**
 * Who holds which copy, by number of the copy. A site manager meets access keys that hang at their own sites or are with
 * somebody there, and of what these open what stands at their sites.
 */
export async function listHoldings(deps: Backoffice, caller: Caller, query: KeyHoldingListQuery): Promise<Outcome<Page<KeyHolding>>> {
  return perform(deps, caller, 'key-holding.read', async ({ tx, now, visibleSites }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const moment = momentOf(query, now);
    const { rows, opened } = await holdingsOf(tx, { ...moment, ...filterOf(query, visibleSites()), after: after?.[0] ?? null, limit: query.limit + 1 });
    return done(toPage({ rows, limit: query.limit, item: (row) => toHolding(row, opened.get(row.key_code_id)), keyOf: (row) => [row.number] }));
  });
}

const columns = ['copy', 'code', 'class', 'outside_copies', 'state', 'holder_kind', 'holder', 'holder_name', 'holder_site', 'since', 'due_back', 'machines', 'sites'] as const;

/** All of them as CSV. */
export async function exportHoldings(deps: Backoffice, caller: Caller, query: KeyHoldingExportQuery): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'key-holding.read', async ({ tx, now, visibleSites }) => {
    const { rows, opened } = await holdingsOf(tx, { ...momentOf(query, now), ...filterOf(query, visibleSites()), after: null, limit: null });
    const lines = rows.map((row) => {
      const { where, ...holding } = toHolding(row, opened.get(row.key_code_id));
      return {
        copy: holding.number,
        code: holding.code,
        class: holding.class,
        outside_copies: holding.outsideCopies ? 'yes' : 'no',
        state: where.state,
        holder_kind: where.holder?.kind,
        holder: where.holder?.code,
        holder_name: where.holder?.name,
        holder_site: where.holder?.siteCode,
        since: where.since,
        due_back: where.dueBackAt,
        machines: holding.machines,
        sites: holding.sites,
      };
    });
    return done({ bytes: Buffer.from(csvTable({ columns }, lines)), fileName: 'who-holds-which-key.csv' });
  });
}

type Filter = Omit<HoldingsFilter, 'after' | 'limit'>;

async function holdingsOf(tx: TenantTransaction, query: Moment & HoldingsFilter & { ownSites: readonly string[] | null }) {
  await planOnce(tx);
  const rows = await selectHoldings(tx, query);
  const counts = await selectFittedCounts(tx, { ...query, keyCodeIds: [...new Set(rows.map((row) => row.key_code_id))], siteIds: query.ownSites });
  return { rows, opened: new Map(counts.map((count) => [count.key_code_id, count])) };
}

/** What was asked, within what the caller may see: a site manager learns of access keys with their own people only. */
function filterOf(query: KeyHoldingExportQuery, visible: 'every' | readonly string[]): Filter & { ownSites: readonly string[] | null } {
  const asked = {
    personId: query.personId ?? null,
    storeId: query.keyStoreId ?? null,
    keyCodeId: query.keyCodeId ?? null,
    opensAtSiteId: query.opensAtSiteId ?? null,
    class: query.class ?? null,
  };
  if (visible === 'every') return { ...asked, heldAtSiteIds: query.heldAtSiteId === undefined ? null : [query.heldAtSiteId], ownSites: null };
  const own = (siteId: string | undefined): readonly string[] => (siteId === undefined ? visible : visible.filter((id) => id === siteId));
  // Whoever asks for something else is shown nothing, rather than that there is something.
  const sites = query.class === 'cash-box' || (query.opensAtSiteId !== undefined && !visible.includes(query.opensAtSiteId)) ? [] : own(query.heldAtSiteId);
  return { ...asked, class: 'access', heldAtSiteIds: sites, ownSites: visible };
}

function toHolding(row: HoldingRow, opened: { machines: number; sites: number } | undefined): KeyHolding {
  return {
    keyCopyId: row.key_copy_id,
    number: row.number,
    keyCodeId: row.key_code_id,
    code: row.code,
    class: row.class,
    outsideCopies: row.outside_copies,
    where: toWhereabouts(row),
    machines: opened?.machines ?? 0,
    sites: opened?.sites ?? 0,
  };
}
