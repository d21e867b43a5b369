import type { Page } from '#contracts/page';
import type { z } from 'zod';

/**
 * Cuts rows read with `limit + 1` into a page. `keyOf` gives the sort values of an item, ending in its id, which the next
 * query continues after: `WHERE (code, id) > ($1, $2) ORDER BY code, id`.
 */
export function toPage<Row, Item>(input: {
  rows: readonly Row[];
  limit: number;
  item: (row: Row) => Item;
  keyOf: (row: Row) => readonly (string | number)[];
}): Page<Item> {
  const kept = input.rows.slice(0, input.limit);
  const last = kept.at(-1);
  const more = input.rows.length > input.limit && last !== undefined;
  return { items: kept.map(input.item), next: more ? encodeCursor(input.keyOf(last)) : null };
}

/** Opaque to callers. It carries nothing but sort values of a row the caller was shown, and row security still applies. */
export function encodeCursor(key: readonly (string | number)[]): string {
  return Buffer.from(JSON.stringify(key), 'utf8').toString('base64url');
}

/**
 * Sort values after which to continue, checked against what the list sorts by, `null` for the first page,
 * or `'invalid'` for anything that {@link encodeCursor} did not make for this list.
 */
export function decodeCursor<Key extends z.ZodType>(cursor: string | undefined, key: Key): z.infer<Key> | null | 'invalid' {
  if (cursor === undefined) return null;
  try {
    const parsed = key.safeParse(JSON.parse(Buffer.from(cursor, 'base64url').toString('utf8')));
    return parsed.success ? parsed.data : 'invalid';
  } catch {
    return 'invalid';
  }
}
