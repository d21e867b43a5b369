import type { KeyHolder, KeyInventory } from '../../api/shapes';

type Item = KeyInventory['items'][number];

/** Copies that the books have at one place; `holder` is null for those that are missing. */
export interface HeldTogether {
  readonly key: string;
  readonly holder: KeyHolder | null;
  readonly items: readonly Item[];
  /** How many of them nobody counted yet. */
  readonly left: number;
}

/** Copies by who or what has them, as somebody goes about counting: where something is left first, what is missing last. */
export function heldTogether(items: readonly Item[]): readonly HeldTogether[] {
  const groups = new Map<string, Item[]>();
  for (const item of items) {
    const key = item.where.holder?.id ?? '';
    groups.set(key, [...(groups.get(key) ?? []), item]);
  }
  return [...groups]
    .map(([key, held]) => ({ key, holder: held[0]?.where.holder ?? null, items: held, left: held.filter(({ counted }) => counted === null).length }))
    .sort((one, other) => Number(one.holder === null) - Number(other.holder === null) || Number(one.left === 0) - Number(other.left === 0) || (one.holder?.name ?? '').localeCompare(other.holder?.name ?? ''));
}
