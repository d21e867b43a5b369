import type { TenantTransaction } from '#database/tenant';
import { selectMeteredApart } from '../../collection/metered.sql';
import { boxKey, toldByMeters } from '../../collection/told';
import type { CountRow } from './facts.sql';

/**
 * Counts under terms that go by the meters, with what recorded meters imply in the place of what was typed: with the first part of a box, and 0 with the
 * others. Where they cannot tell it, as where no meters are recorded, what somebody said of the box stands in: with its counts, or else apart from them. Where nobody
 * did, the settlement waits.
 */
export async function withMeteredAmounts(tx: TenantTransaction, rows: readonly CountRow[]): Promise<CountRow[]> {
  if (rows.length === 0) return [];
  const collectionIds = [...new Set(rows.map((row) => row.collection_id))];
  const told = await toldByMeters(tx, collectionIds);
  const apart = new Map((await selectMeteredApart(tx, collectionIds)).map((row) => [boxKey({ collectionId: row.collection_id, machineId: row.machine_id }), row.metered_minor]));
  const typed = new Set(rows.flatMap((row) => (row.metered_minor === null ? [] : [keyOf(row)])));
  const given = new Set<string>();
  return rows.map((row) => {
    const key = keyOf(row);
    const first = !given.has(`${String(row.window)} ${key}`);
    given.add(`${String(row.window)} ${key}`);
    const ofMeters = told.get(key);
    if (ofMeters !== undefined && 'minor' in ofMeters) return { ...row, metered_minor: first ? ofMeters.minor : 0n };
    if (typed.has(key)) return { ...row, metered_minor: row.metered_minor ?? 0n };
    const minor = apart.get(key);
    return minor === undefined ? row : { ...row, metered_minor: first ? minor : 0n };
  });
}

const keyOf = (row: CountRow): string => boxKey({ collectionId: row.collection_id, machineId: row.machine_id });
