import type { TenantTransaction } from '#database/tenant';
import { selectLeftUnread, selectMeteredApart } from '../../collection/metered.sql';
import { expectedCash } from '../../meter/expected-cash';
import type { CountRow } from './facts.sql';
import { groupBy } from './group-by';

/**
 * Counts under terms that go by the meters, with what recorded meters imply in the place of what was typed: with the first part of a box, and 0 with the
 * others. A meter that was only not read adds nothing here: all it counted belongs to the collection at which it is read again. Of a machine that left the
 * site there is no such one: what was entered of its last box stands in, and without it the settlement waits. Where meters went back or too far, or were not
 * read as the machine was moved, nothing is known, and the settlement waits. What was typed apart from the counts stands in for meters that are not recorded
 * where no count of the box says it.
 */
export async function withMeteredAmounts(tx: TenantTransaction, rows: readonly CountRow[]): Promise<CountRow[]> {
  if (rows.length === 0) return [];
  const collectionIds = [...new Set(rows.map((row) => row.collection_id))];
  const recorded = await selectMeteredBoxes(tx, collectionIds);
  const expected = groupBy(recorded.size === 0 ? [] : await expectedCash(tx, collectionIds), (each) => keyOf(each.collectionId, each.machineId));
  const leftUnread = new Set((await selectLeftUnread(tx, collectionIds)).map((row) => keyOf(row.collection_id, row.machine_id)));
  const isTold = (key: string): boolean => recorded.has(key) && (!leftUnread.has(key) || isKnown(expected.get(key) ?? []));
  const apart = new Map((await selectMeteredApart(tx, collectionIds)).map((row) => [keyOf(row.collection_id, row.machine_id), row.metered_minor]));
  const typed = new Set(rows.flatMap((row) => (row.metered_minor === null ? [] : [keyOf(row.collection_id, row.machine_id)])));
  const given = new Set<string>();
  return rows.map((row) => {
    const key = keyOf(row.collection_id, row.machine_id);
    const first = !given.has(`${String(row.window)} ${key}`);
    given.add(`${String(row.window)} ${key}`);
    if (isTold(key)) return { ...row, metered_minor: first ? amountOf(expected.get(key) ?? []) : 0n };
    if (typed.has(key)) return { ...row, metered_minor: row.metered_minor ?? 0n };
    const minor = apart.get(key);
    return minor === undefined ? row : { ...row, metered_minor: first ? minor : 0n };
  });
}

function amountOf(tenders: Awaited<ReturnType<typeof expectedCash>>): bigint | null {
  return tenders.reduce<bigint | null>((sum, { unknown, knownMinor, mixed }) => (sum === null || mixed || unknown.some((why) => why !== 'not-read') ? null : sum + knownMinor), 0n);
}

const isKnown = (tenders: Awaited<ReturnType<typeof expectedCash>>): boolean => tenders.length > 0 && tenders.every(({ expectedMinor }) => expectedMinor !== null);

async function selectMeteredBoxes(tx: TenantTransaction, collectionIds: readonly string[]): Promise<ReadonlySet<string>> {
  const { rows } = await tx.sql<{ collection_id: string; machine_id: string }>(
    `SELECT DISTINCT b.collection_id, b.machine_id
       FROM collection c
       JOIN box_count b ON b.tenant_id = $1 AND b.collection_id = c.id
       JOIN counter_board k ON k.tenant_id = $1 AND k.machine_id = b.machine_id AND k.fitted_at <= c.happened_at AND (k.removed_at IS NULL OR k.removed_at > c.happened_at)
      WHERE c.tenant_id = $1 AND c.id = ANY ($2::uuid[])`,
    [tx.tenantId, collectionIds],
  );
  return new Set(rows.map((row) => keyOf(row.collection_id, row.machine_id)));
}

const keyOf = (collectionId: string, machineId: string): string => `${collectionId} ${machineId}`;
