import { ceilingBetween, couldHaveGoneRound, daysToldApart, differenceBetween, readDifference, unitsOf } from './difference';
import { capacityOf, electronicCapacity, type Reading } from './meter';

const HOUR_MS = 3_600_000;
const twoWeeks = 14 * 24 * HOUR_MS;
/** 60 units an hour, for two weeks. */
const ceiling = ceilingBetween({ fromMs: 0, toMs: twoWeeks, mostPerHour: 60n });
const read = (before: bigint, after: bigint, capacity = capacityOf(5), confirmed = false) => readDifference({ before, after, capacity, ceiling, confirmed, passedEnd: false });

// Rollover vectors of mechanical meters with five digits: common practice of the trade, no source. The 32-bit one is arithmetic modulo 2^32.
it.each([
  [99_986n, 11n, 25n],
  [99_850n, 125n, 275n],
  [99_999n, 0n, 1n],
])('takes %s -> %s on five digits for a rollover of %s', (before, after, units) => {
  expect(read(before, after)).toEqual({ kind: 'rollover', units });
});

it('takes 4294967291 -> 7 of a 32-bit counter for a rollover of 12', () => {
  expect(read(4_294_967_291n, 7n, electronicCapacity)).toEqual({ kind: 'rollover', units: 12n });
});

it('does not take 40000 -> 00120 for 60120 plays in two weeks', () => {
  const difference = read(40_000n, 120n);
  expect(difference).toEqual({ kind: 'reset-or-wrong' });
  expect(unitsOf(difference)).toBeNull();
  expect(read(40_000n, 120n, capacityOf(5), true)).toEqual({ kind: 'reset-or-wrong' });
});

describe('where the machine could run through the whole range of a meter in the time', () => {
  /** 300 units an hour, for two weeks: 100,800, and five digits show 100,000. */
  const fast = ceilingBetween({ fromMs: 0, toMs: twoWeeks, mostPerHour: 300n });
  const fall = (before: bigint, after: bigint, passedEnd = false, confirmed = false) => readDifference({ before, after, capacity: capacityOf(5), ceiling: fast, confirmed, passedEnd });

  it('makes no revenue of a fall, however it was confirmed, before somebody says that the meter passed its end', () => {
    expect(fast).toBe(100_800n);
    expect(fall(40_000n, 120n)).toEqual({ kind: 'rollover-or-reset', units: 60_120n });
    expect(unitsOf(fall(40_000n, 120n))).toBeNull();
    expect(unitsOf(fall(99_986n, 11n))).toBeNull();
    expect(unitsOf(fall(40_000n, 120n, false, true))).toBeNull();
    expect(fall(99_986n, 11n, true)).toEqual({ kind: 'rollover', units: 25n });
  });

  it('reads a rise as ever, whoever says that it passed its end, and tells where there was time for a whole round more', () => {
    expect(fall(120n, 40_000n)).toEqual({ kind: 'forward', units: 39_880n });
    expect(fall(120n, 40_000n, true)).toEqual({ kind: 'forward', units: 39_880n });
    const meter = { capacity: capacityOf(5), mostPerHour: 300n };
    const within = (hours: number, units = 39_880n) => couldHaveGoneRound({ kind: 'forward', units }, { before: { atMs: 0 }, after: { atMs: hours * HOUR_MS }, meter });
    // 139,880 units take 466 hours and a little of the next.
    expect([within(466), within(467)]).toEqual([false, true]);
    expect(couldHaveGoneRound({ kind: 'rollover', units: 25n }, { before: { atMs: 0 }, after: { atMs: 1_000 * HOUR_MS }, meter })).toBe(false);
  });

  it('begins where the ceiling reaches the range, and not one unit before', () => {
    const at = (ceiling: bigint) => readDifference({ before: 99_986n, after: 11n, capacity: capacityOf(5), ceiling, confirmed: false, passedEnd: false }).kind;
    expect([at(99_999n), at(100_000n)]).toEqual(['rollover', 'rollover-or-reset']);
  });

  it('takes nobody\'s word for a rollover of more than the machine can earn', () => {
    expect(readDifference({ before: 40_000n, after: 120n, capacity: capacityOf(5), ceiling, confirmed: true, passedEnd: true })).toEqual({ kind: 'reset-or-wrong' });
  });

  it('says for how many days between readings a fall is told from a reset', () => {
    const days = daysToldApart({ capacity: capacityOf(5), mostPerHour: 300n });
    expect(days).toBe(13);
    const after = (hours: number) => differenceOver(hours).kind;
    expect([after(days * 24), after((days + 1) * 24)]).toEqual(['rollover', 'rollover-or-reset']);
    expect(daysToldApart({ capacity: electronicCapacity, mostPerHour: 300n })).toBe(596_523);
    expect(daysToldApart({ capacity: capacityOf(3), mostPerHour: 300n })).toBe(0);
  });

  const differenceOver = (hours: number) => {
    const reading = (atMs: number, value: bigint): Reading => ({ id: '', atMs, phase: 'only', value, confirmed: false, passedEnd: false, collectionId: null, placementId: null });
    return differenceBetween(reading(0, 99_986n), reading(hours * HOUR_MS, 11n), { capacity: capacityOf(5), mostPerHour: 300n });
  };
});

it('takes a rollover only below the ceiling, and a rise up to it', () => {
  expect(ceiling).toBe(20_160n);
  expect(read(90_000n, 10_159n)).toEqual({ kind: 'rollover', units: 20_159n });
  expect(read(90_000n, 10_160n)).toEqual({ kind: 'reset-or-wrong' });
  expect(read(0n, 20_160n)).toEqual({ kind: 'forward', units: 20_160n });
  expect(read(0n, 20_161n)).toEqual({ kind: 'above-ceiling', units: 20_161n });
});

it('lets a rise above the ceiling stand once a second person looked at it', () => {
  expect(unitsOf(read(0n, 20_161n))).toBeNull();
  expect(read(0n, 20_161n, capacityOf(5), true)).toEqual({ kind: 'forward', units: 20_161n });
});

it('counts a begun hour whole, and never less than one', () => {
  expect(ceilingBetween({ fromMs: 0, toMs: HOUR_MS + 1, mostPerHour: 60n })).toBe(120n);
  expect(ceilingBetween({ fromMs: 5, toMs: 5, mostPerHour: 60n })).toBe(60n);
});

it('sees no play between the readings before and after a board was open, at one moment only', () => {
  const reading = (fields: Partial<Reading>): Reading => ({ id: '', atMs: 0, phase: 'only', value: 0n, confirmed: false, passedEnd: false, collectionId: null, placementId: null, ...fields });
  const meter = { capacity: capacityOf(5), mostPerHour: 60n };
  expect(differenceBetween(reading({ phase: 'before', value: 40_000n }), reading({ phase: 'after', value: 0n }), meter)).toEqual({ kind: 'board-open' });
  expect(differenceBetween(reading({ phase: 'before', value: 40_000n }), reading({ phase: 'after', atMs: HOUR_MS, value: 0n }), meter)).toEqual({ kind: 'reset-or-wrong' });
});

it('a rise above the ceiling stands when its own reading is confirmed, and not because the one before was corrected', () => {
  const meter = { capacity: capacityOf(5), mostPerHour: 60n };
  const reading = (fields: Partial<Reading>): Reading => ({ id: '', atMs: 0, phase: 'only', value: 0n, confirmed: false, passedEnd: false, collectionId: null, placementId: null, ...fields });
  const wrong = { atMs: twoWeeks, value: 91_400n };
  expect(differenceBetween(reading({ value: 1_200n, confirmed: true }), reading(wrong), meter).kind).not.toBe('forward');
  expect(differenceBetween(reading({ value: 1_200n }), reading({ ...wrong, confirmed: true }), meter).kind).toBe('forward');
});
