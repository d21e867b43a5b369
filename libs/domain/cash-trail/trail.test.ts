import fc from 'fast-check';
import { bagFinding, bagHolder } from './bags';
import { roomOf, roundOf, type CollectedFacts, type RoundFacts } from './trail';

const bag = (bagId: string, sealReceived: string | null = 'S', sealOpened: string | null = 'S') => ({ bagId, sealPut: 'S', sealReceived, sealOpened });
const collected = (more: Partial<CollectedFacts> = {}): CollectedFacts => ({
  collectionId: 'c', removedMinor: 330_00n, countedMinor: 320_00n, handedMinor: 20_00n, refundsMinor: 3_00n, filledMinor: 10_00n, withCollectorMinor: null, bags: [bag('b')], ...more,
});
const round = (more: Partial<RoundFacts> = {}): RoundFacts => ({ floatGivenMinor: 50_00n, floatReturnedMinor: 50_00n, filledFromFloatMinor: 0n, emptiedIntoFloatMinor: 0n, handedInMinor: null, collections: [collected()], ...more });

test('a day in figures: float 50, removed 330, out on the way 33, ten missing on the table, seven at the bank', () => {
  const walked = roundOf(round());
  expect(walked).toMatchObject({ floatMinor: 50_00n, removedMinor: 330_00n, filledMinor: 10_00n, toBringMinor: 347_00n, foundMinor: 287_00n, floatReturnedMinor: 50_00n, differenceMinor: -10_00n, waiting: 0 });
  expect(walked.gaps).toEqual([{ kind: 'bags', collectionId: 'c', amountMinor: -10_00n, holder: 'collector' }]);
  const room = roomOf({ rounds: [walked], floatGivenMinor: 50_00n, filledMinor: 0n, emptiedMinor: 0n, paidInMinor: 280_00n });
  expect(room).toMatchObject({ foundMinor: 287_00n, toPayInMinor: 287_00n, gap: { kind: 'paid-in', amountMinor: -7_00n, holder: 'counting-room' } });
  expect(roomOf({ ...room, paidInMinor: 287_00n }).gap).toBeNull();
});

test('a float that was not brought back is with the collector; what it filled is no gap', () => {
  expect(roundOf(round({ floatReturnedMinor: 0n, collections: [] })).gaps).toEqual([{ kind: 'float', collectionId: null, amountMinor: -50_00n, holder: 'collector' }]);
  expect(roundOf(round({ floatReturnedMinor: 35_00n, filledFromFloatMinor: 20_00n, emptiedIntoFloatMinor: 5_00n, collections: [] })).gaps).toEqual([]);
});

test('without a count at the machine the room is believed, and what is not accepted is in no figure', () => {
  const walked = roundOf(round({ collections: [collected({ removedMinor: null }), collected({ countedMinor: null })] }));
  expect(walked).toMatchObject({ removedMinor: 320_00n, handedMinor: 20_00n, differenceMinor: 0n, notCountedAtMachine: 1, waiting: 1, gaps: [] });
});

test.each([
  [bag('b'), null, 'collector'],
  [bag('b', null, null), 'not-received', 'collector'],
  [bag('b', 'T', 'T'), 'other-seal-when-received', 'collector'],
  [bag('b', 'S', null), 'not-opened', 'counting-room'],
  [bag('b', 'S', 'T'), 'other-seal-when-opened', 'counting-room'],
] as const)('%j is %s, which is for the %s', (facts, finding, holder) => {
  expect(bagFinding(facts)).toBe(finding);
  expect(bagHolder(finding)).toBe(holder);
});

const whole = (more: Partial<CollectedFacts> = {}): CollectedFacts => collected({ removedMinor: 500_00n, countedMinor: 500_00n, handedMinor: 0n, refundsMinor: 0n, filledMinor: 0n, withCollectorMinor: 500_00n, bags: [], ...more });

test('what was counted whole at the machines is with the collector until the room says what it received, and what lacks then is theirs', () => {
  const gapsOf = (handedInMinor: bigint | null, collections = [whole()]) => roundOf(round({ handedInMinor, collections })).gaps.map(({ kind, amountMinor, holder }) => [kind, amountMinor, holder]);
  expect([gapsOf(null), gapsOf(450_00n), gapsOf(500_00n), gapsOf(510_00n)]).toEqual([[['handed-in', -500_00n, 'collector']], [['handed-in', -50_00n, 'collector']], [], [['handed-in', 10_00n, 'collector']]]);
  // What went out of the boxes on the way is not handed in; what another visit had in bags is found there.
  expect(roundOf(round({ handedInMinor: 467_00n, collections: [whole({ handedMinor: 20_00n, refundsMinor: 3_00n, filledMinor: 10_00n, withCollectorMinor: 467_00n }), collected({ removedMinor: 320_00n })] }))).toMatchObject({ toHandInMinor: 467_00n, foundMinor: 287_00n, differenceMinor: 0n, notCountedAtMachine: 0, gaps: [] });
  // The bank got what the room received: nothing is for the room to explain.
  const short = roundOf(round({ floatGivenMinor: 0n, floatReturnedMinor: 0n, handedInMinor: 450_00n, collections: [whole()] }));
  expect(roomOf({ rounds: [short], floatGivenMinor: 0n, filledMinor: 0n, emptiedMinor: 0n, paidInMinor: 450_00n })).toMatchObject({ handedInMinor: 450_00n, toPayInMinor: 450_00n, gap: null });
});

test('of a visit with boxes counted at the machines and others in the room, each part is looked for where it is', () => {
  const both = collected({ removedMinor: null, countedMinor: 400_00n, handedMinor: 20_00n, refundsMinor: 5_00n, filledMinor: 10_00n, withCollectorMinor: 280_00n });
  const walked = roundOf(round({ floatGivenMinor: 0n, floatReturnedMinor: 0n, handedInMinor: 270_00n, collections: [both] }));
  expect(walked).toMatchObject({ toBringMinor: 365_00n, foundMinor: 85_00n, toHandInMinor: 280_00n, differenceMinor: -10_00n, notCountedAtMachine: 1, gaps: [{ kind: 'handed-in', amountMinor: -10_00n, holder: 'collector' }] });
});

test('while a visit that was counted at the machines waits to be accepted, what was handed in is compared with nothing', () => {
  expect(roundOf(round({ handedInMinor: 450_00n, collections: [whole({ countedMinor: null, removedMinor: null })] }))).toMatchObject({ toHandInMinor: 0n, handedInMinor: 450_00n, differenceMinor: 0n, waiting: 1, gaps: [] });
});

test('a bag that was opened with another seal than it was received with moves the gap to the counting room', () => {
  const walked = roundOf(round({ collections: [collected({ bags: [bag('b', 'S', 'T')] })] }));
  expect(walked.gaps[0]?.holder).toBe('counting-room');
  expect(walked.bags).toEqual([{ bagId: 'b', finding: 'other-seal-when-opened', holder: 'counting-room' }]);
});

test('the gaps of a round add up to its difference', () => {
  const minor = fc.bigInt({ min: 0n, max: 100_000n });
  const facts = fc.record({ removedMinor: fc.option(minor), countedMinor: fc.option(minor), handedMinor: minor, refundsMinor: minor, filledMinor: minor, withCollectorMinor: fc.option(minor) });
  fc.assert(
    fc.property(minor, minor, minor, minor, fc.option(minor), fc.array(facts), (floatGivenMinor, floatReturnedMinor, filledFromFloatMinor, emptiedIntoFloatMinor, handedInMinor, collections) => {
      const walked = roundOf({ floatGivenMinor, floatReturnedMinor, filledFromFloatMinor, emptiedIntoFloatMinor, handedInMinor, collections: collections.map((each, place) => ({ ...each, collectionId: String(place), bags: [] })) });
      expect(walked.gaps.reduce((sum, { amountMinor }) => sum + amountMinor, 0n)).toBe(walked.differenceMinor);
    }),
    { numRuns: 300 },
  );
});
