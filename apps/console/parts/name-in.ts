/** The name of something in a list by its id; the id itself where it is not in it, or the list has not come yet. */
export const nameIn =
  (list: readonly { readonly id: string; readonly name: string }[] | undefined) =>
  (id: string): string =>
    list?.find((each) => each.id === id)?.name ?? id;
