/**
 * The SHA-256 Merkle tree of RFC 9162 section 2.1 (the same tree as RFC 6962): hashes, roots, and a frontier from which
 * a head is updated in O(log n) without reading older leaves.
 */
import { sha256 as portableSha256 } from '@noble/hashes/sha2';

/** Any SHA-256. A server may pass one backed by its own crypto; the default runs everywhere. */
export type Sha256 = (message: Uint8Array) => Uint8Array;

export const HASH_BYTES = 32;

// Leaves and inner nodes are hashed under different prefixes, so that neither can be passed off as the other.
const LEAF_PREFIX = 0x00;
const NODE_PREFIX = 0x01;

/**
 * What must be kept to append: the number of leaves, and the roots of the perfect subtrees they form, largest (leftmost)
 * first. There is one peak for each 1 bit of `size`.
 */
export interface Frontier {
  readonly size: number;
  readonly peaks: readonly Uint8Array[];
}

/** A published state of the log: how many leaves, and the hash that fixes all of them. */
export interface TreeHead {
  readonly size: number;
  readonly root: Uint8Array;
}

export const EMPTY_FRONTIER: Frontier = { size: 0, peaks: [] };

/** SHA-256(0x00 || leaf). */
export function leafHash(leaf: Uint8Array, sha256: Sha256 = portableSha256): Uint8Array {
  const message = new Uint8Array(1 + leaf.length);
  message[0] = LEAF_PREFIX;
  message.set(leaf, 1);
  return sha256(message);
}

/** SHA-256(0x01 || left || right). */
export function nodeHash(children: { left: Uint8Array; right: Uint8Array }, sha256: Sha256 = portableSha256): Uint8Array {
  const message = new Uint8Array(1 + 2 * HASH_BYTES);
  message[0] = NODE_PREFIX;
  message.set(children.left, 1);
  message.set(children.right, 1 + HASH_BYTES);
  return sha256(message);
}

/** The frontier with one more leaf. O(1) hashes on average, O(log n) at most. */
export function append(frontier: Frontier, newLeafHash: Uint8Array, sha256: Sha256 = portableSha256): Frontier {
  requireHash(newLeafHash);
  const peaks = [...frontier.peaks];
  let merged = newLeafHash;
  // Adding one carries through the trailing 1 bits of the size, and each carry joins two subtrees of equal height.
  for (let rest = frontier.size; rest % 2 === 1; rest = half(rest)) {
    const left = peaks.pop();
    if (left === undefined) throw new Error(`a frontier of ${frontier.size} leaves lacks a peak`);
    merged = nodeHash({ left, right: merged }, sha256);
  }
  peaks.push(merged);
  return { size: frontier.size + 1, peaks };
}

/** The root over a frontier; of no leaves, the SHA-256 of nothing. */
export function rootOfFrontier(frontier: Frontier, sha256: Sha256 = portableSha256): Uint8Array {
  const lowestFirst = frontier.peaks.toReversed();
  const lowest = lowestFirst[0];
  if (lowest === undefined) return sha256(new Uint8Array(0));
  return lowestFirst.slice(1).reduce((right, left) => nodeHash({ left, right }, sha256), lowest);
}

/** The head over a frontier. */
export function headOf(frontier: Frontier, sha256: Sha256 = portableSha256): TreeHead {
  return { size: frontier.size, root: rootOfFrontier(frontier, sha256) };
}

/** The root over the hashes of all leaves, in order. */
export function rootOfLeafHashes(leafHashes: readonly Uint8Array[], sha256: Sha256 = portableSha256): Uint8Array {
  return rootOfFrontier(
    leafHashes.reduce<Frontier>((frontier, hash) => append(frontier, hash, sha256), EMPTY_FRONTIER),
    sha256,
  );
}

/** The peaks as one string of bytes, for storing beside the size. */
export function peaksToBytes(frontier: Frontier): Uint8Array {
  const bytes = new Uint8Array(frontier.peaks.length * HASH_BYTES);
  frontier.peaks.forEach((peak, position) => bytes.set(peak, position * HASH_BYTES));
  return bytes;
}

/** The stored frontier again, or undefined if that many bytes cannot belong to a tree of that size. */
export function frontierFromBytes(stored: { size: number; peakBytes: Uint8Array }): Frontier | undefined {
  const { size, peakBytes } = stored;
  if (!Number.isSafeInteger(size) || size < 0) return undefined;
  let peakCount = 0;
  for (let rest = size; rest > 0; rest = half(rest)) peakCount += rest % 2;
  if (peakBytes.length !== peakCount * HASH_BYTES) return undefined;
  const peaks = Array.from({ length: peakCount }, (_, position) =>
    new Uint8Array(peakBytes.subarray(position * HASH_BYTES, (position + 1) * HASH_BYTES)),
  );
  return { size, peaks };
}

/** Integer half. Bit shifts would cut a size to 32 bits. */
export function half(value: number): number {
  return Math.floor(value / 2);
}

export function sameHash(left: Uint8Array, right: Uint8Array): boolean {
  return left.length === right.length && left.every((byte, position) => byte === right[position]);
}

function requireHash(hash: Uint8Array): void {
  if (hash.length !== HASH_BYTES) throw new Error(`a hash has ${HASH_BYTES} bytes, not ${hash.length}`);
}
