import { formatInstant } from '#contracts/format';
import type { KeyInventory, KeyInventoryListQuery, KeyInventorySummary } from '#contracts/key-inventory';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import type { Whereabouts } from '#domain/keys/custody';
import { reconcile, type Discrepancy, type InventoriedCopy } from '#domain/keys/inventory';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { toWhereabouts } from '../key-question/whereabouts.sql';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import {
  selectCutEvents,
  selectDiscrepancies,
  selectInventoried,
  selectInventories,
  selectInventory,
  selectLines,
  selectSurplus,
  type CutRow,
  type InventoriedRow,
  type InventoryRow,
} from './read.sql';

/** One count of keys with its copies and its result; while it is open, as it would be closed now. */
export async function readKeyInventory(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<KeyInventory>> {
  return perform(deps, caller, 'key-inventory.read', async ({ tx }) => ((await selectInventory(tx, query.id)) === null ? refused('not-found') : done(await readInventory(tx, query.id))));
}

const cursorSchema = z.tuple([z.iso.datetime(), z.uuid()]);

/** Counts of keys, those opened last first. */
export async function listKeyInventories(deps: Backoffice, caller: Caller, query: KeyInventoryListQuery): Promise<Outcome<Page<KeyInventorySummary>>> {
  return perform(deps, caller, 'key-inventory.read', async ({ tx }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await selectInventories(tx, { after, limit: query.limit, state: query.state ?? null });
    return done(toPage({ rows, limit: query.limit, item: toSummary, keyOf: (row) => [formatInstant(row.opened_at), row.id] }));
  });
}

/** A count that is in the books, as it stands within this transaction. */
export async function readInventory(tx: TenantTransaction, id: string): Promise<KeyInventory> {
  const row = await selectInventory(tx, id);
  if (row === null) throw new Error(`inventory ${id} is gone`);
  const copies = await selectInventoried(tx, id);
  const result = row.closed_at === null ? await wouldBe(tx, { id, copies }) : { lines: await selectLines(tx, id), discrepancies: await selectDiscrepancies(tx, id) };
  return { ...toSummary(row), items: copies.filter(({ asked }) => asked).map(toItem), ...result, total: totalOf(result.lines) };
}

async function wouldBe(tx: TenantTransaction, of: { id: string; copies: readonly InventoriedRow[] }): Promise<Pick<KeyInventory, 'lines' | 'discrepancies'>> {
  const cuts = await selectCutEvents(tx, of.id);
  const surplus = (await selectSurplus(tx, of.id)).map((row) => ({ codeId: row.key_code_id, note: row.note }));
  const { lines, discrepancies } = reconcile({ cuts: cuts.map(({ key_code_id: codeId, made, duplicated, destroyed }) => ({ codeId, made, duplicated, destroyed })), copies: of.copies.map(toInventoried), surplus });
  const codes = new Map(cuts.map((cut) => [cut.key_code_id, cut]));
  return {
    lines: lines.flatMap(({ codeId, ...figures }) => {
      const cut = codes.get(codeId);
      return cut === undefined ? [] : [{ keyCodeId: codeId, code: cut.code, class: cut.class, ...figures }];
    }),
    discrepancies: discrepancies.map((each) => toDiscrepancy(each, { codes, copies: of.copies })),
  };
}

function toDiscrepancy(found: Discrepancy, of: { codes: ReadonlyMap<string, CutRow>; copies: readonly InventoriedRow[] }): KeyInventory['discrepancies'][number] {
  const copy = 'copyId' in found ? of.copies.find(({ key_copy_id: id }) => id === found.copyId) : undefined;
  return {
    kind: found.kind,
    keyCodeId: found.codeId,
    code: found.codeId === null ? null : (of.codes.get(found.codeId)?.code ?? null),
    keyCopyId: copy?.key_copy_id ?? null,
    number: copy?.number ?? null,
    note: found.kind === 'surplus' ? found.note : null,
  };
}

function toInventoried(row: InventoriedRow): InventoriedCopy {
  const booked: Whereabouts = row.holder_kind === null ? { state: row.state === 'destroyed' ? 'destroyed' : 'missing' } : { state: 'held', holder: { kind: row.holder_kind, id: row.holder_id } };
  const expected: Whereabouts = row.expected_state === 'missing' ? { state: 'missing' } : { state: 'held', holder: { kind: row.expected_kind, id: row.expected_id } };
  return { copyId: row.key_copy_id, codeId: row.key_code_id, booked, asked: row.asked, counted: row.how === null ? null : { at: { kind: row.counted_kind, id: row.counted_id }, expected } };
}

function toItem(row: InventoriedRow): KeyInventory['items'][number] {
  return {
    keyCopyId: row.key_copy_id,
    number: row.number,
    keyCodeId: row.key_code_id,
    code: row.code,
    class: row.class,
    where: toWhereabouts(row),
    counted: row.how === null ? null : { how: row.how, at: formatInstant(row.counted_at), by: row.counted_by, withoutSecondPerson: row.without_second_person },
  };
}

function totalOf(lines: KeyInventory['lines']): KeyInventory['total'] {
  const total = { made: 0, duplicated: 0, destroyed: 0, inStores: 0, withHolders: 0, missing: 0, unaccounted: 0 };
  for (const line of lines) for (const column of Object.keys(total) as (keyof typeof total)[]) total[column] += line[column];
  return total;
}

function toSummary(row: InventoryRow): KeyInventorySummary {
  return {
    id: row.id,
    cause: row.cause,
    store: row.store_id === null || row.store_code === null || row.store_name === null ? null : { storeId: row.store_id, code: row.store_code, name: row.store_name },
    openedAt: formatInstant(row.opened_at),
    openedBy: row.opened_by,
    reason: row.reason,
    copies: row.copies,
    counted: row.counted,
    closed: row.closed_at === null || row.closed_by === null || row.closing_reason === null ? null : { at: formatInstant(row.closed_at), by: row.closed_by, reason: row.closing_reason },
  };
}
