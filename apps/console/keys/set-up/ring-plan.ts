import type { KeyCopy, Person } from '../../api/shapes';

/** A ring that somebody is about to be given, or the cuts of which no store has a copy left for it. */
export interface PlannedRing {
  readonly person: Person;
  readonly code: string;
  readonly storeId: string | null;
  readonly copies: readonly KeyCopy[];
}

/** As long as a code may be. */
const LONGEST = 20;

/**
 * For each person one copy of every cut, all out of one store, since they go out in one step; no copy twice. Where no
 * store has them all any more the ring stays without copies.
 */
export function planRings(of: { people: readonly Person[]; codeIds: readonly string[]; copies: readonly KeyCopy[] }): readonly PlannedRing[] {
  const free = new Map<string, KeyCopy[]>();
  for (const copy of of.copies) {
    const holder = copy.where?.holder;
    if (holder?.kind === 'store' && of.codeIds.includes(copy.keyCodeId)) free.set(holder.id, [...(free.get(holder.id) ?? []), copy]);
  }
  return of.people.map((person) => {
    const code = `RING-${person.code}`.slice(0, LONGEST);
    for (const [storeId, inStore] of free) {
      const copies = of.codeIds.flatMap((codeId) => inStore.find(({ keyCodeId }) => keyCodeId === codeId) ?? []);
      if (of.codeIds.length === 0 || copies.length < of.codeIds.length) continue;
      free.set(storeId, inStore.filter((copy) => !copies.includes(copy)));
      return { person, code, storeId, copies };
    }
    return { person, code, storeId: null, copies: [] };
  });
}
