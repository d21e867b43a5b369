/**
 * Inclusion and consistency proofs over the tree of merkle.ts, as RFC 9162 sections 2.1.3 and 2.1.4 define them: made by
 * whoever holds the log, checked by whoever holds a head.
 */
import { HASH_BYTES, half, nodeHash, rootOfLeafHashes, sameHash, type Frontier, type Sha256, type TreeHead } from '#domain/evidence/merkle';
import { sha256 as portableSha256 } from '@noble/hashes/sha2';

/** Leaves [start, end) of the log. The hash of a proof's step is the root over such a range. */
export interface LeafRange {
  readonly start: number;
  readonly end: number;
}

/**
 * The ranges whose roots make up an inclusion proof, in the order of the proof (PATH of RFC 9162 2.1.3.1). Undefined when
 * the tree has no such leaf. A log too large to hold in memory asks its store for these ranges only.
 */
export function inclusionRanges(place: { index: number; size: number }): LeafRange[] | undefined {
  if (!isCount(place.index) || !isCount(place.size) || place.index >= place.size) return undefined;
  const ranges: LeafRange[] = [];
  let start = 0;
  let end = place.size;
  while (end - start > 1) {
    const middle = start + largestPowerOfTwoBelow(end - start);
    if (place.index < middle) {
      ranges.push({ start: middle, end });
      end = middle;
    } else {
      ranges.push({ start, end: middle });
      start = middle;
    }
  }
  return ranges.reverse();
}

/**
 * The ranges whose roots make up a consistency proof, in order (PROOF of RFC 9162 2.1.4.1). Undefined when the older tree
 * is the larger. Every tree extends the empty one and itself, with an empty proof.
 */
export function consistencyRanges(sizes: { older: number; newer: number }): LeafRange[] | undefined {
  if (!isCount(sizes.older) || !isCount(sizes.newer) || sizes.older > sizes.newer) return undefined;
  if (sizes.older === 0) return [];
  const ranges: LeafRange[] = [];
  let start = 0;
  let end = sizes.newer;
  while (sizes.older !== end) {
    const middle = start + largestPowerOfTwoBelow(end - start);
    if (sizes.older <= middle) {
      ranges.push({ start: middle, end });
      end = middle;
    } else {
      ranges.push({ start, end: middle });
      start = middle;
    }
  }
  // The older tree's last perfect subtree is listed unless it is that whole tree, whose root the verifier has.
  if (start > 0) ranges.push({ start, end });
  return ranges.reverse();
}

/** The proof that leaf `index` is in the tree over all of `leafHashes`; undefined when there is no such leaf. */
export function inclusionProof(
  request: { index: number; leafHashes: readonly Uint8Array[] },
  sha256: Sha256 = portableSha256,
): Uint8Array[] | undefined {
  const ranges = inclusionRanges({ index: request.index, size: request.leafHashes.length });
  return ranges?.map(({ start, end }) => rootOfLeafHashes(request.leafHashes.slice(start, end), sha256));
}

/** The proof that the tree over all of `leafHashes` extends its first `olderSize` leaves; undefined when it cannot. */
export function consistencyProof(
  request: { olderSize: number; leafHashes: readonly Uint8Array[] },
  sha256: Sha256 = portableSha256,
): Uint8Array[] | undefined {
  const ranges = consistencyRanges({ older: request.olderSize, newer: request.leafHashes.length });
  return ranges?.map(({ start, end }) => rootOfLeafHashes(request.leafHashes.slice(start, end), sha256));
}

/**
 * The same proof from the edge of the older tree and the hashes of the leaves after it: whatever a proof takes from the left
 * of that edge is one of its peaks.
 */
export function consistencyProofAfter(
  request: { older: Frontier; laterLeafHashes: readonly Uint8Array[] },
  sha256: Sha256 = portableSha256,
): Uint8Array[] {
  const { older, laterLeafHashes } = request;
  const peakAt = new Map<number, Uint8Array>();
  let start = 0;
  for (const peak of older.peaks) {
    peakAt.set(start, peak);
    start += largestPowerOfTwoBelow(older.size - start + 1);
  }
  const ranges = consistencyRanges({ older: older.size, newer: older.size + laterLeafHashes.length }) ?? [];
  return ranges.map((range) => {
    if (range.start >= older.size) return rootOfLeafHashes(laterLeafHashes.slice(range.start - older.size, range.end - older.size), sha256);
    const peak = peakAt.get(range.start);
    if (peak === undefined) throw new Error(`the edge of ${older.size} leaves has no peak at ${range.start}`);
    return peak;
  });
}

/** Whether the proof shows that a leaf with this hash is number `index` under the head (RFC 9162 2.1.3.2). */
export function verifyInclusion(
  claim: { index: number; leafHash: Uint8Array; head: TreeHead; proof: readonly Uint8Array[] },
  sha256: Sha256 = portableSha256,
): boolean {
  if (!isCount(claim.index) || !isCount(claim.head.size) || claim.index >= claim.head.size) return false;
  let place = claim.index;
  let lastPlace = claim.head.size - 1;
  let hash = claim.leafHash;
  for (const step of claim.proof) {
    if (lastPlace === 0 || step.length !== HASH_BYTES) return false;
    if (isOdd(place) || place === lastPlace) {
      hash = nodeHash({ left: step, right: hash }, sha256);
      [place, lastPlace] = climbToRightChild(place, lastPlace);
    } else {
      hash = nodeHash({ left: hash, right: step }, sha256);
    }
    place = half(place);
    lastPlace = half(lastPlace);
  }
  return lastPlace === 0 && sameHash(hash, claim.head.root);
}

/** Whether the proof shows that everything under the older head lies unchanged under the newer (RFC 9162 2.1.4.2). */
export function verifyConsistency(
  claim: { older: TreeHead; newer: TreeHead; proof: readonly Uint8Array[] },
  sha256: Sha256 = portableSha256,
): boolean {
  const { older, newer, proof } = claim;
  if (!isCount(older.size) || !isCount(newer.size) || older.size > newer.size) return false;
  if (older.size === newer.size) return proof.length === 0 && sameHash(older.root, newer.root);
  if (older.size === 0) return proof.length === 0 && sameHash(older.root, rootOfLeafHashes([], sha256));
  if (proof.length === 0) return false;

  let place = older.size - 1;
  let lastPlace = newer.size - 1;
  while (isOdd(place)) {
    place = half(place);
    lastPlace = half(lastPlace);
  }
  // An older tree of a power of two leaves is itself a subtree of the newer, and its root is left out of the proof.
  const [first, ...steps] = place === 0 ? [older.root, ...proof] : proof;
  if (first === undefined || first.length !== HASH_BYTES) return false;
  let olderHash = first;
  let newerHash = first;
  for (const step of steps) {
    if (lastPlace === 0 || step.length !== HASH_BYTES) return false;
    if (isOdd(place) || place === lastPlace) {
      olderHash = nodeHash({ left: step, right: olderHash }, sha256);
      newerHash = nodeHash({ left: step, right: newerHash }, sha256);
      [place, lastPlace] = climbToRightChild(place, lastPlace);
    } else {
      newerHash = nodeHash({ left: newerHash, right: step }, sha256);
    }
    place = half(place);
    lastPlace = half(lastPlace);
  }
  return lastPlace === 0 && sameHash(olderHash, older.root) && sameHash(newerHash, newer.root);
}

/** The last node of a level without a sibling rises unchanged until it is a right child. */
function climbToRightChild(place: number, lastPlace: number): [number, number] {
  let [climbed, climbedLast] = [place, lastPlace];
  while (!isOdd(climbed) && climbed !== 0) {
    climbed = half(climbed);
    climbedLast = half(climbedLast);
  }
  return [climbed, climbedLast];
}

function isOdd(value: number): boolean {
  return value % 2 === 1;
}

function isCount(value: number): boolean {
  return Number.isSafeInteger(value) && value >= 0;
}

function largestPowerOfTwoBelow(size: number): number {
  let power = 1;
  while (power * 2 < size) power *= 2;
  return power;
}
