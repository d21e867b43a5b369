/** The list with one of its members a place further up or down; at the end of the list it stays as it is. */
export function moved<Item>(items: readonly Item[], { from, by }: { readonly from: number; readonly by: -1 | 1 }): readonly Item[] {
  const to = from + by;
  const [one, other] = [items[from], items[to]];
  if (one === undefined || other === undefined) return items;
  return items.map((item, index) => (index === from ? other : index === to ? one : item));
}
