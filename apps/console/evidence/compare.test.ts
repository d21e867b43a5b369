import { headOf, leafHash, append, EMPTY_FRONTIER, type Frontier } from '#domain/evidence/merkle';
import { consistencyProofAfter } from '#domain/evidence/proof';
import { compareHeld, rootTyped, sizeTyped } from './compare';

/** A log as an api keeps it, its entries by their names. */
function logOf(names: readonly string[]) {
  const hashes = names.map((name) => leafHash(Uint8Array.from([...name].map((letter) => letter.charCodeAt(0)))));
  const edge = (size: number): Frontier => hashes.slice(0, size).reduce<Frontier>((grown, hash) => append(grown, hash), EMPTY_FRONTIER);
  const hex = (bytes: Uint8Array): string => [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
  const head = (size: number) => ({ size, root: hex(headOf(edge(size)).root) });
  return {
    head,
    api: {
      evidenceHead: async () => ({ ...head(names.length), recordedAt: null }),
      evidenceConsistency: async (from: number) => ({ older: head(from), newer: head(names.length), proof: consistencyProofAfter({ older: edge(from), laterLeafHashes: hashes.slice(from) }).map(hex) }),
    },
  };
}

const honest = logOf(['one', 'two', 'three', 'four', 'five', 'six', 'seven']);

it('finds that every earlier head fits a log that only grew', async () => {
  for (let size = 1; size <= 7; size += 1) expect(await compareHeld(honest.api, honest.head(size))).toMatchObject({ kind: 'fits', later: 7 - size });
});

it('finds that a log does not fit in which one entry before the copy is another, whatever it says of its own older head', async () => {
  for (let place = 0; place < 5; place += 1) {
    const names = ['one', 'two', 'three', 'four', 'five', 'six', 'seven'];
    names[place] = 'changed';
    expect(await compareHeld(logOf(names).api, honest.head(5))).toEqual({ held: honest.head(5), kind: 'differs' });
  }
  expect(await compareHeld(logOf(['one', 'two', 'three', 'four', 'five', 'other', 'seven']).api, honest.head(5))).toMatchObject({ kind: 'fits' });
});

it('finds that the end was cut off', async () => {
  expect(await compareHeld(logOf(['one', 'two']).api, honest.head(5))).toEqual({ held: honest.head(5), kind: 'cut', present: 2 });
});

it('takes both figures as people type them', () => {
  expect(['12', ' 1,204 ', '1.204', '1 204', '0', '-3', 'x', ''].map(sizeTyped)).toEqual([12, 1204, 1204, 1204, undefined, undefined, undefined, undefined]);
  const root = 'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855';
  expect(rootTyped(` ${(root.toUpperCase().match(/../g) ?? []).join(' ')} `)).toBe(root);
  expect([root.slice(1), `${root}0`, root.replace('e', 'g'), ''].map(rootTyped)).toEqual([undefined, undefined, undefined, undefined]);
});
