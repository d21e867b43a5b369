import { SALT_BYTES } from '#domain/evidence/leaf';
import {
  append,
  EMPTY_FRONTIER,
  leafHash,
  rootOfFrontier,
  sameHash,
  type Frontier,
  type Sha256,
  type TreeHead,
} from '#domain/evidence/merkle';

/** A leaf as it lies in the log now. Nothing of it is believed. */
export type StoredLeaf = {
  readonly index: number;
  readonly kind: string;
  readonly subjectId: string;
  readonly salt: Uint8Array;
  readonly entry: Uint8Array;
  readonly leafHash: Uint8Array;
};

/**
 * What a walk through the log found. Every finding but `fits` names the first entry that does not fit, counted from 0:
 * - `altered`: the entry no longer has the hash that is stored beside it.
 * - `missing`: the log has a hole there.
 * - `cut`: the log ends before it, though a head from outside covers it.
 * - `rewritten`: somewhere in `first` to `last` an entry was replaced together with its hash, because the entries up to
 *   `last` do not add up to a head, while those before `first` add up to a smaller one. `held` says whether the head
 *   came from outside or lies in the log itself.
 */
export type LogFinding =
  | { readonly kind: 'fits'; readonly head: TreeHead }
  | { readonly kind: 'altered'; readonly first: number; readonly leaf: StoredLeaf }
  | { readonly kind: 'missing'; readonly first: number }
  | { readonly kind: 'cut'; readonly first: number; readonly heldSize: number }
  | { readonly kind: 'rewritten'; readonly first: number; readonly last: number; readonly held: boolean };

/**
 * Recomputes the log from its stored entries and compares it with heads. `heldHeads` come from outside (a printed or
 * embedded head of a statement): they alone can show that the log was rewritten as a whole, because whoever can rewrite
 * entries can rewrite the heads stored beside them. `storedHeads` narrow down where. Leaves and stored heads arrive in
 * ascending order and are read once, so a log of any length takes constant memory.
 */
export async function verifyLog(
  input: {
    readonly leaves: AsyncIterable<StoredLeaf>;
    readonly storedHeads: AsyncIterable<TreeHead>;
    readonly heldHeads: readonly TreeHead[];
  },
  sha256: Sha256,
): Promise<LogFinding> {
  const held = heldFrom(input.heldHeads);
  const stored = input.storedHeads[Symbol.asyncIterator]();
  let nextStored = await stored.next();
  let frontier: Frontier = EMPTY_FRONTIER;
  // Up to where a head from outside, and up to where any head, agrees with the entries. A head that lies in the log
  // itself proves nothing against whoever rewrote both, so it may narrow down only a contradiction within the log.
  let provenSize = 0;
  let agreedSize = 0;

  const compare = async (): Promise<LogFinding | undefined> => {
    const { size } = frontier;
    while (nextStored.done !== true && nextStored.value.size < size) nextStored = await stored.next();
    const heldHere = held.get(size) ?? [];
    const storedHere = nextStored.done !== true && nextStored.value.size === size ? [nextStored.value.root] : [];
    if (heldHere.length + storedHere.length === 0) return undefined;
    const root = rootOfFrontier(frontier, sha256);
    const last = Math.max(size - 1, 0);
    if (storedHere.some((head) => !sameHash(head, root))) return { kind: 'rewritten', first: agreedSize, last, held: false };
    if (heldHere.some((head) => !sameHash(head, root))) return { kind: 'rewritten', first: provenSize, last, held: true };
    agreedSize = size;
    if (heldHere.length > 0) provenSize = size;
    return undefined;
  };

  const empty = await compare();
  if (empty !== undefined) return empty;
  for await (const leaf of input.leaves) {
    if (leaf.index !== frontier.size) return { kind: 'missing', first: frontier.size };
    const hash = leafHash(joined(leaf), sha256);
    if (!sameHash(hash, leaf.leafHash)) return { kind: 'altered', first: leaf.index, leaf };
    frontier = append(frontier, hash, sha256);
    const finding = await compare();
    if (finding !== undefined) return finding;
  }
  const heldSize = Math.max(0, ...input.heldHeads.map((head) => head.size));
  if (heldSize > frontier.size) return { kind: 'cut', first: frontier.size, heldSize };
  while (nextStored.done !== true && nextStored.value.size <= frontier.size) nextStored = await stored.next();
  if (nextStored.done !== true) return { kind: 'cut', first: frontier.size, heldSize: nextStored.value.size };
  return { kind: 'fits', head: { size: frontier.size, root: rootOfFrontier(frontier, sha256) } };
}

function heldFrom(heads: readonly TreeHead[]): ReadonlyMap<number, Uint8Array[]> {
  const bySize = new Map<number, Uint8Array[]>();
  for (const head of heads) bySize.set(head.size, [...(bySize.get(head.size) ?? []), head.root]);
  return bySize;
}

/** The bytes that were hashed: salt and entry (see #domain/evidence/leaf). */
function joined(leaf: { salt: Uint8Array; entry: Uint8Array }): Uint8Array {
  const bytes = new Uint8Array(SALT_BYTES + leaf.entry.length);
  bytes.set(leaf.salt.subarray(0, SALT_BYTES));
  bytes.set(leaf.entry, SALT_BYTES);
  return bytes;
}
