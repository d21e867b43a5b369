import { createHash } from 'node:crypto';
import { append, EMPTY_FRONTIER, headOf, leafHash, type TreeHead } from '#domain/evidence/merkle';
import { verifyLog, type StoredLeaf } from './verify-log';

const sha256 = (message: Uint8Array) => createHash('sha256').update(message).digest();

function leafAt(index: number, text: string): StoredLeaf {
  const salt = Buffer.alloc(16, index);
  const entry = Buffer.from(text);
  return { index, kind: 'test', subjectId: `subject-${index}`, salt, entry, leafHash: leafHash(Buffer.concat([salt, entry]), sha256) };
}

const leaves = Array.from({ length: 23 }, (_, index) => leafAt(index, `{"entry":${index}}`));

function headsOf(from: readonly StoredLeaf[], sizes: readonly number[]): TreeHead[] {
  let frontier = EMPTY_FRONTIER;
  const all = [headOf(frontier, sha256)];
  for (const leaf of from) {
    frontier = append(frontier, leaf.leafHash, sha256);
    all.push(headOf(frontier, sha256));
  }
  return sizes.map((size) => all[size] ?? all[0]!);
}

async function* stream<T>(items: readonly T[]): AsyncGenerator<T> {
  yield* items;
}

const storedSizes = [4, 10, 11, 23];
const walk = (log: readonly StoredLeaf[], stored: readonly TreeHead[], held: readonly TreeHead[]) =>
  verifyLog({ leaves: stream(log), storedHeads: stream(stored), heldHeads: held }, sha256);

/** The log with one entry replaced, its hash recomputed as somebody would who wants it to look right. */
function rewritten(at: number): StoredLeaf[] {
  return leaves.map((leaf, index) => (index === at ? leafAt(index, '{"entry":"forged"}') : leaf));
}

describe('verifyLog', () => {
  const stored = headsOf(leaves, storedSizes);
  const held = headsOf(leaves, [15]);

  it('accepts an untouched log under any head of its own, the empty one included', async () => {
    for (let size = 0; size <= leaves.length; size += 1) {
      expect(await walk(leaves, stored, headsOf(leaves, [size]))).toMatchObject({ kind: 'fits', head: { size: 23 } });
    }
  });

  it('names the entry whose bytes changed under its stored hash', async () => {
    for (let at = 0; at < leaves.length; at += 1) {
      const log = leaves.map((leaf, index) => (index === at ? { ...leaf, entry: Buffer.from('{"entry":"forged"}') } : leaf));
      expect(await walk(log, stored, held)).toMatchObject({ kind: 'altered', first: at });
    }
  });

  it('names the entry whose salt changed', async () => {
    const log = leaves.map((leaf, index) => (index === 7 ? { ...leaf, salt: Buffer.alloc(16, 99) } : leaf));
    expect(await walk(log, stored, held)).toMatchObject({ kind: 'altered', first: 7 });
  });

  it('narrows an entry rewritten with its hash down to the stored heads around it', async () => {
    expect(await walk(rewritten(6), stored, [])).toEqual({ kind: 'rewritten', first: 4, last: 9, held: false });
    expect(await walk(rewritten(10), stored, [])).toEqual({ kind: 'rewritten', first: 10, last: 10, held: false });
  });

  it('finds a log rewritten as a whole, heads included, by a head from outside alone', async () => {
    const log = rewritten(6);
    const forgedHeads = headsOf(log, storedSizes);
    expect(await walk(log, forgedHeads, [])).toMatchObject({ kind: 'fits' });
    expect(await walk(log, forgedHeads, held)).toEqual({ kind: 'rewritten', first: 0, last: 14, held: true });
    expect(await walk(log, forgedHeads, [...headsOf(leaves, [5]), ...held])).toEqual({ kind: 'rewritten', first: 5, last: 14, held: true });
  });

  it('does not blame entries after the head from outside', async () => {
    const log = rewritten(15);
    expect(await walk(log, headsOf(log, storedSizes), held)).toMatchObject({ kind: 'fits' });
  });

  it('names the first entry that a cut tail took away', async () => {
    expect(await walk(leaves.slice(0, 12), headsOf(leaves, [4, 10, 11]), held)).toEqual({ kind: 'cut', first: 12, heldSize: 15 });
    expect(await walk(leaves.slice(0, 12), stored, [])).toEqual({ kind: 'cut', first: 12, heldSize: 23 });
    expect(await walk([], [], held)).toEqual({ kind: 'cut', first: 0, heldSize: 15 });
  });

  it('names a hole', async () => {
    expect(await walk(leaves.filter((leaf) => leaf.index !== 3), stored, held)).toEqual({ kind: 'missing', first: 3 });
  });

  it('refuses a head of the empty log that is not the hash of nothing', async () => {
    expect(await walk(leaves, stored, [{ size: 0, root: Buffer.alloc(32) }])).toMatchObject({ kind: 'rewritten', held: true });
  });
});
