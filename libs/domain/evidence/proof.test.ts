import { append, EMPTY_FRONTIER, leafHash, rootOfLeafHashes, type Frontier, type TreeHead } from '#domain/evidence/merkle';
import {
  consistencyProof,
  consistencyProofAfter,
  consistencyRanges,
  inclusionProof,
  inclusionRanges,
  verifyConsistency,
  verifyInclusion,
} from '#domain/evidence/proof';

const LEAVES = Array.from({ length: 40 }, (_, index) => leafHash(Buffer.from(`leaf ${index}`)));
const EVERY_SIZE = Array.from({ length: LEAVES.length + 1 }, (_, size) => size);

const headAt = (size: number): TreeHead => ({ size, root: rootOfLeafHashes(LEAVES.slice(0, size)) });
const leafAt = (index: number): Uint8Array => LEAVES[index] ?? new Uint8Array(0);
const inclusionAt = (index: number, size: number): Uint8Array[] =>
  inclusionProof({ index, leafHashes: LEAVES.slice(0, size) }) ?? [];
const consistencyAt = (older: number, newer: number): Uint8Array[] =>
  consistencyProof({ olderSize: older, leafHashes: LEAVES.slice(0, newer) }) ?? [];

/** Every way to spoil one step of a proof, lose one, or add one. */
function spoiled(proof: readonly Uint8Array[]): Uint8Array[][] {
  const stray = leafHash(Buffer.from('stray'));
  return [
    ...proof.map((_, position) => proof.map((step, index) => (index === position ? stray : step))),
    ...proof.map((_, position) => proof.map((step, index) => (index === position ? step.slice(1) : step))),
    ...proof.map((_, position) => proof.filter((__, index) => index !== position)),
    [...proof, stray],
    [stray, ...proof],
  ];
}

describe('inclusion proofs', () => {
  it('verify for every leaf of every tree, and for no other place or size', () => {
    for (const size of EVERY_SIZE) {
      for (let index = 0; index < size; index += 1) {
        const claim = { index, leafHash: leafAt(index), head: headAt(size), proof: inclusionAt(index, size) };
        expect(verifyInclusion(claim)).toBe(true);
        expect(verifyInclusion({ ...claim, index: index + 1 })).toBe(false);
        expect(verifyInclusion({ ...claim, index: index - 1 })).toBe(false);
        expect(verifyInclusion({ ...claim, leafHash: leafHash(Buffer.from('other')) })).toBe(false);
        expect(verifyInclusion({ ...claim, head: { ...claim.head, root: headAt(size - 1).root } })).toBe(false);
      }
    }
  });

  it('do not verify when spoiled', () => {
    for (const index of [0, 5, 20]) {
      for (const proof of spoiled(inclusionAt(index, 21))) {
        expect(verifyInclusion({ index, leafHash: leafAt(index), head: headAt(21), proof })).toBe(false);
      }
    }
  });

  it('do not exist for a leaf that is not there', () => {
    expect(inclusionRanges({ index: 3, size: 3 })).toBeUndefined();
    expect(inclusionRanges({ index: -1, size: 3 })).toBeUndefined();
    expect(inclusionRanges({ index: 0, size: 0 })).toBeUndefined();
    expect(inclusionProof({ index: 1, leafHashes: LEAVES.slice(0, 1) })).toBeUndefined();
  });
});

describe('consistency proofs', () => {
  it('verify between any two sizes', () => {
    for (const newer of EVERY_SIZE) {
      for (let older = 0; older <= newer; older += 1) {
        const claim = { older: headAt(older), newer: headAt(newer), proof: consistencyAt(older, newer) };
        expect(verifyConsistency(claim)).toBe(true);
      }
    }
  });

  it('do not verify over a log that was rewritten under the older head', () => {
    for (const newer of EVERY_SIZE.slice(2)) {
      for (let older = 1; older < newer; older += 1) {
        const rewritten = LEAVES.slice(0, newer);
        rewritten[older - 1] = leafHash(Buffer.from('rewritten'));
        const proof = consistencyProof({ olderSize: older, leafHashes: rewritten }) ?? [];
        const newerHead = { size: newer, root: rootOfLeafHashes(rewritten) };
        expect(verifyConsistency({ older: headAt(older), newer: newerHead, proof })).toBe(false);
      }
    }
  });

  it('do not verify when spoiled, nor for another size or with roots swapped', () => {
    for (const [older, newer] of [[1, 8], [6, 8], [7, 21], [16, 40]] as const) {
      const claim = { older: headAt(older), newer: headAt(newer), proof: consistencyAt(older, newer) };
      for (const proof of spoiled(claim.proof)) expect(verifyConsistency({ ...claim, proof })).toBe(false);
      for (const size of [older - 1, older + 1]) {
        expect(verifyConsistency({ ...claim, older: { ...claim.older, size } })).toBe(false);
      }
      expect(verifyConsistency({ ...claim, newer: { ...claim.newer, size: newer * 2 } })).toBe(false);
      expect(verifyConsistency({ ...claim, older: claim.newer, newer: claim.older })).toBe(false);
      const swapped = { older: { ...claim.older, root: claim.newer.root }, newer: { ...claim.newer, root: claim.older.root } };
      expect(verifyConsistency({ ...claim, ...swapped })).toBe(false);
    }
  });

  it('come out the same from the edge of the older tree and the leaves after it', () => {
    for (let newer = 0; newer <= 40; newer += 1) {
      for (let older = 0; older <= newer; older += 1) {
        const leaves = Array.from({ length: newer }, (_, index) => leafAt(index));
        const edge = leaves.slice(0, older).reduce<Frontier>((grown, hash) => append(grown, hash), EMPTY_FRONTIER);
        expect(consistencyProofAfter({ older: edge, laterLeafHashes: leaves.slice(older) })).toEqual(consistencyProof({ olderSize: older, leafHashes: leaves }));
      }
    }
  });

  it('are empty over the empty tree and over itself, and hold only for the right roots', () => {
    expect(verifyConsistency({ older: headAt(0), newer: headAt(9), proof: [] })).toBe(true);
    expect(verifyConsistency({ older: { size: 0, root: headAt(1).root }, newer: headAt(9), proof: [] })).toBe(false);
    expect(verifyConsistency({ older: headAt(0), newer: headAt(9), proof: [leafAt(0)] })).toBe(false);
    expect(verifyConsistency({ older: headAt(9), newer: headAt(9), proof: [] })).toBe(true);
    expect(verifyConsistency({ older: { size: 9, root: headAt(8).root }, newer: headAt(9), proof: [] })).toBe(false);
    expect(verifyConsistency({ older: headAt(4), newer: headAt(9), proof: [] })).toBe(false);
  });

  it('do not exist from a larger tree to a smaller one', () => {
    expect(consistencyRanges({ older: 4, newer: 3 })).toBeUndefined();
    expect(verifyConsistency({ older: headAt(4), newer: headAt(3), proof: [] })).toBe(false);
  });

  it('stay logarithmic in a large log', () => {
    const ranges = consistencyRanges({ older: 123_456_789, newer: 2 ** 33 + 7 });
    expect(ranges?.length).toBeLessThanOrEqual(35);
    expect(inclusionRanges({ index: 5, size: 2 ** 33 + 7 })).toHaveLength(34);
  });
});
