import {
  append,
  EMPTY_FRONTIER,
  frontierFromBytes,
  headOf,
  leafHash,
  nodeHash,
  peaksToBytes,
  rootOfFrontier,
  rootOfLeafHashes,
  type Frontier,
} from '#domain/evidence/merkle';
import fc from 'fast-check';
import { createHash } from 'node:crypto';

const nativeSha256 = (message: Uint8Array): Uint8Array => createHash('sha256').update(message).digest();

/** MTH of RFC 9162 2.1.1, written as the RFC does, to compare with. */
function definedRoot(leaves: readonly Uint8Array[]): Uint8Array {
  const [only] = leaves;
  if (only === undefined) return nativeSha256(new Uint8Array(0));
  if (leaves.length === 1) return nativeSha256(Buffer.concat([Buffer.of(0), only]));
  let split = 1;
  while (split * 2 < leaves.length) split *= 2;
  return nativeSha256(Buffer.concat([Buffer.of(1), definedRoot(leaves.slice(0, split)), definedRoot(leaves.slice(split))]));
}

const leavesUpTo = (count: number): Uint8Array[] => Array.from({ length: count }, (_, index) => Buffer.from(`leaf ${index}`));
const frontierOver = (leaves: readonly Uint8Array[]): Frontier =>
  leaves.reduce<Frontier>((frontier, leaf) => append(frontier, leafHash(leaf)), EMPTY_FRONTIER);

describe('the tree', () => {
  it('has the root that RFC 9162 defines for every size up to 70', () => {
    for (let count = 0; count <= 70; count += 1) {
      const leaves = leavesUpTo(count);
      expect(Buffer.from(rootOfLeafHashes(leaves.map((leaf) => leafHash(leaf))))).toEqual(Buffer.from(definedRoot(leaves)));
    }
  });

  it('gives the same head through another SHA-256', () => {
    const leaves = leavesUpTo(11).map((leaf) => leafHash(leaf, nativeSha256));
    expect(Buffer.from(rootOfLeafHashes(leaves, nativeSha256))).toEqual(Buffer.from(definedRoot(leavesUpTo(11))));
  });

  it('tells a leaf from an inner node', () => {
    const [left, right] = [leafHash(Buffer.from('a')), leafHash(Buffer.from('b'))];
    expect(Buffer.from(leafHash(Buffer.concat([left, right])))).not.toEqual(Buffer.from(nodeHash({ left, right })));
  });
});

describe('the frontier', () => {
  it('carries a head on after being stored at any point', () => {
    fc.assert(
      fc.property(fc.nat(60), fc.nat(60), (before, after) => {
        const leaves = leavesUpTo(before + after);
        const stored = frontierOver(leaves.slice(0, before));
        const restored = frontierFromBytes({ size: stored.size, peakBytes: peaksToBytes(stored) });
        if (restored === undefined) throw new Error('a stored frontier was not accepted');
        const resumed = leaves.slice(before).reduce((frontier, leaf) => append(frontier, leafHash(leaf)), restored);
        expect(headOf(resumed)).toEqual(headOf(frontierOver(leaves)));
      }),
    );
  });

  it('needs no more than a hash per bit of its size', () => {
    let hashes = 0;
    const counting = (message: Uint8Array): Uint8Array => {
      hashes += 1;
      return nativeSha256(message);
    };
    const before = frontierOver(leavesUpTo(1023));
    append(before, leafHash(Buffer.from('last')), counting);
    expect(hashes).toBe(10);
    expect(append(before, leafHash(Buffer.from('last'))).peaks).toHaveLength(1);
  });

  it('leaves the frontier it was given as it was', () => {
    const before = frontierOver(leavesUpTo(3));
    const root = Buffer.from(rootOfFrontier(before));
    append(before, leafHash(Buffer.from('more')));
    expect(before.size).toBe(3);
    expect(Buffer.from(rootOfFrontier(before))).toEqual(root);
  });

  it.each([
    ['too few bytes', 3, 32],
    ['too many bytes', 4, 64],
    ['a broken hash', 1, 31],
    ['a negative size', -1, 0],
    ['a fractional size', 1.5, 32],
  ])('refuses stored bytes with %s', (_, size, byteCount) => {
    expect(frontierFromBytes({ size, peakBytes: new Uint8Array(byteCount) })).toBeUndefined();
  });

  it('counts past 32 bits', () => {
    const size = 2 ** 40 - 1;
    const large = frontierFromBytes({ size, peakBytes: new Uint8Array(40 * 32) });
    if (large === undefined) throw new Error('refused');
    const grown = append(large, new Uint8Array(32));
    expect(grown.size).toBe(2 ** 40);
    expect(grown.peaks).toHaveLength(1);
  });

  it('takes nothing but a hash as a leaf hash', () => {
    expect(() => append(EMPTY_FRONTIER, Buffer.from('not a hash'))).toThrow('32 bytes');
  });
});
