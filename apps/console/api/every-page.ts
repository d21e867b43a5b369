interface Page<Item> {
  readonly items: readonly Item[];
  /** Cursor of the page after it. */
  readonly next: string | null;
}

/** Everything of a list that a choice is made from, page after page. */
export async function everyPage<Item>(page: (cursor: string | null) => Promise<Page<Item>>): Promise<readonly Item[]> {
  const items: Item[] = [];
  let cursor: string | null = null;
  do {
    const found: Page<Item> = await page(cursor);
    items.push(...found.items);
    cursor = found.next;
  } while (cursor !== null);
  return items;
}
