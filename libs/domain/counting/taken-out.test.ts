import fc from 'fast-check';
import { takenOutOfBoxes } from './taken-out';

const out = (boxId: string, coinMinor: bigint, noteMinor: bigint) => ({ boxId, coinMinor, noteMinor });
const box = (boxId: string, coinMinor: bigint, noteMinor: bigint, atMachine: [coinMinor: bigint, noteMinor: bigint] | null = null) => ({
  boxId, coinMinor, noteMinor, atMachine: atMachine === null ? null : { coinMinor: atMachine[0], noteMinor: atMachine[1] },
});

test('800.00 found and 200.00 handed over: the box held 1,000.00', () => {
  const taken = takenOutOfBoxes({ boxes: [box('a', 300_00n, 500_00n)], receipts: [{ boxId: null, amountMinor: 200_00n, coinMinor: null }] });
  expect(taken).toEqual([out('a', 75_00n, 125_00n)]);
});

test('a receipt that names its box is that box’s; the others are shared by what was found', () => {
  const boxes = [box('a', 100_00n, 0n), box('b', 0n, 300_00n)];
  const receipts = [{ boxId: 'a', amountMinor: 3_00n, coinMinor: null }, { boxId: null, amountMinor: 40_00n, coinMinor: null }, { boxId: 'elsewhere', amountMinor: 4_00n, coinMinor: null }];
  expect(takenOutOfBoxes({ boxes, receipts })).toEqual([out('a', 14_00n, 0n), out('b', 0n, 33_00n)]);
});

test('where nothing was left to find, the first box and coins take it all; without boxes there is nothing to say', () => {
  expect(takenOutOfBoxes({ boxes: [box('a', 0n, 0n), box('b', 0n, 0n)], receipts: [{ boxId: null, amountMinor: 5n, coinMinor: null }] })).toEqual([out('a', 5n, 0n), out('b', 0n, 0n)]);
  expect(takenOutOfBoxes({ boxes: [], receipts: [{ boxId: null, amountMinor: 5n, coinMinor: null }] })).toEqual([]);
});

test('200.00 handed out of A, which held 1,000.00 at the machine as B did: A lacks them, not both', () => {
  const boxes = [box('a', 800_00n, 0n, [1_000_00n, 0n]), box('b', 1_000_00n, 0n, [1_000_00n, 0n])];
  expect(takenOutOfBoxes({ boxes, receipts: [{ boxId: null, amountMinor: 200_00n, coinMinor: null }] })).toEqual([out('a', 200_00n, 0n), out('b', 0n, 0n)]);
});

test('a box that the hand-out emptied whole held what was counted at the machine', () => {
  const boxes = [box('a', 0n, 0n, [200_00n, 0n]), box('b', 1_000_00n, 0n, [1_000_00n, 0n])];
  expect(takenOutOfBoxes({ boxes, receipts: [{ boxId: null, amountMinor: 200_00n, coinMinor: null }] })).toEqual([out('a', 200_00n, 0n), out('b', 0n, 0n)]);
});

test('a receipt that names its box explains what is missing there; more than is missing came out of the box that nobody counted at the machine', () => {
  const boxes = [box('a', 800_00n, 0n, [1_000_00n, 0n]), box('b', 900_00n, 0n, [1_000_00n, 0n]), box('c', 500_00n, 0n)];
  // A lacks 200.00, 150.00 of them by its own receipt; B lacks 100.00; 50.00 and 100.00 of the 180.00 are theirs, 30.00 are of C.
  const receipts = [{ boxId: 'a', amountMinor: 150_00n, coinMinor: null }, { boxId: null, amountMinor: 180_00n, coinMinor: null }];
  expect(takenOutOfBoxes({ boxes, receipts })).toEqual([out('a', 200_00n, 0n), out('b', 100_00n, 0n), out('c', 30_00n, 0n)]);
});

test('where more was handed out than is missing and all were counted at the machine, it came out of those that lack cash, else out of all by what was found', () => {
  const receipts = [{ boxId: null, amountMinor: 90_00n, coinMinor: null }];
  expect(takenOutOfBoxes({ boxes: [box('a', 100_00n, 0n, [160_00n, 0n]), box('b', 100_00n, 0n, [100_00n, 0n])], receipts })).toEqual([out('a', 90_00n, 0n), out('b', 0n, 0n)]);
  expect(takenOutOfBoxes({ boxes: [box('a', 100_00n, 0n, [100_00n, 0n]), box('b', 200_00n, 0n, [200_00n, 0n])], receipts })).toEqual([out('a', 30_00n, 0n), out('b', 60_00n, 0n)]);
});

test('what a receipt says of coins is coins and the rest notes, wherever it came from', () => {
  // Of the box itself: 150.00 in notes, although the bag held nothing but coins.
  expect(takenOutOfBoxes({ boxes: [box('a', 300_00n, 0n)], receipts: [{ boxId: 'a', amountMinor: 150_00n, coinMinor: 0n }] })).toEqual([out('a', 0n, 150_00n)]);
  // Shared: A lacks 60.00 in coins and B 40.00 in notes; 25.00 of the 60.00 were coins.
  const boxes = [box('a', 40_00n, 0n, [100_00n, 0n]), box('b', 0n, 60_00n, [0n, 100_00n])];
  expect(takenOutOfBoxes({ boxes, receipts: [{ boxId: null, amountMinor: 60_00n, coinMinor: 25_00n }] })).toEqual([out('a', 25_00n, 0n), out('b', 0n, 35_00n)]);
  expect(takenOutOfBoxes({ boxes, receipts: [{ boxId: 'a', amountMinor: 60_00n, coinMinor: 10_00n }, { boxId: null, amountMinor: 40_00n, coinMinor: null }] })).toEqual([out('a', 32_22n, 50_00n), out('b', 0n, 17_78n)]);
});

test('coins that came out of no box by name came out of those that held coins', () => {
  const boxes = [box('notes', 0n, 100_00n), box('coins', 100_00n, 0n)];
  expect(takenOutOfBoxes({ boxes, receipts: [{ boxId: null, amountMinor: 20_00n, coinMinor: 20_00n }] })).toEqual([out('notes', 0n, 0n), out('coins', 20_00n, 0n)]);
});

test('where the receipt does not say it, the count at the machine says that it was notes that went', () => {
  // 300.00 and 500.00 at the machine, 200.00 of the notes handed over: coins and notes are whole again, and nothing is short.
  const boxes = [box('a', 300_00n, 300_00n, [300_00n, 500_00n])];
  for (const boxId of ['a', null]) expect(takenOutOfBoxes({ boxes, receipts: [{ boxId, amountMinor: 200_00n, coinMinor: null }] })).toEqual([out('a', 0n, 200_00n)]);
});

test('what is taken out of the boxes is what the receipts say, never below zero', () => {
  const minor = fc.bigInt({ min: 0n, max: 10n ** 9n });
  const boxes = fc.array(fc.tuple(minor, minor, fc.option(fc.tuple(minor, minor))), { minLength: 1, maxLength: 6 }).map((list) => list.map(([coin, note, atMachine], place) => box(String(place), coin, note, atMachine)));
  const receipts = fc.array(fc.record({ boxId: fc.constantFrom(null, '0', '1', '9'), amountMinor: minor, coins: fc.option(fc.nat(1000)) }).map(({ coins, ...receipt }) => ({ ...receipt, coinMinor: coins === null ? null : (receipt.amountMinor * BigInt(coins)) / 1000n })), { maxLength: 6 });
  const sum = (list: readonly { readonly coinMinor: bigint; readonly noteMinor: bigint }[]) => list.reduce((total, each) => total + each.coinMinor + each.noteMinor, 0n);
  fc.assert(
    fc.property(boxes, receipts, (found, given) => {
      const taken = takenOutOfBoxes({ boxes: found, receipts: given });
      expect(sum(taken)).toBe(given.reduce((total, { amountMinor }) => total + amountMinor, 0n));
      expect(taken.every(({ coinMinor, noteMinor }) => coinMinor >= 0n && noteMinor >= 0n)).toBe(true);
      if (given.every(({ coinMinor }) => coinMinor !== null)) expect(taken.reduce((total, { coinMinor }) => total + coinMinor, 0n)).toBe(given.reduce((total, { coinMinor }) => total + (coinMinor ?? 0n), 0n));
    }),
    { numRuns: 300 },
  );
});
