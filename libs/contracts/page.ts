import { z } from 'zod';

/** Cursor pages: `?limit=50&cursor=...` in, `{ items, next }` out; `next` is null on the last page. */
export const pageQuerySchema = z.strictObject({
  limit: z.coerce.number().int().min(1).max(200).default(50).describe('Most items to return, 1 to 200.'),
  cursor: z.string().max(500).optional().describe('`next` of the page before; leave out for the first page.'),
});
export type PageQuery = z.infer<typeof pageQuerySchema>;

export function pageSchema<Item extends z.ZodType>(item: Item) {
  return z.strictObject({
    items: z.array(item),
    next: z.string().nullable().describe('Cursor of the next page, or null if this is the last one.'),
  });
}
export type Page<Item> = { items: Item[]; next: string | null };
