import fc from 'fast-check';
import { isBetweenPlaces } from './belonging';
import { expectedCashOf as expectedOfStays } from './expected-cash';
import { fitsNeighbours, intervalsOf } from './intervals';
import type { Board, Meter, Reading } from './meter';
import { stayAt, staysOf, type Stay } from './stays';
import { at, board, HOUR_MS, meter } from '#tests/support/meter-readings';

/** Of a machine that never moved. */
const expectedCashOf = (boards: readonly Board[]) => expectedOfStays(boards, []);
const first = { collectionId: 'first' };
const second = { collectionId: 'second' };

it('takes test plays and what the machine paid back off the coins, and never off the notes', () => {
  const boards = [
    board([
      meter('coin', [at(0, 100n), at(100, 500n, first)]),
      meter('note', [at(0, 10n), at(100, 40n, first)]),
      meter('test-plays', [at(0, 0n), at(100, 4n, first)]),
      meter('refunds', [at(0, 7n), at(100, 9n, first)]),
    ]),
  ];
  expect(expectedCashOf(boards)).toEqual([
    { collectionId: 'first', tender: 'coin', expectedMinor: 9_850n, unknown: [], knownMinor: 9_850n, unknownHere: [], mixed: false, unseenRoundMinor: null, sinceMs: 0, playsMinor: null, second: null },
    { collectionId: 'first', tender: 'note', expectedMinor: 3_000n, unknown: [], knownMinor: 3_000n, unknownHere: [], mixed: false, unseenRoundMinor: null, sinceMs: 0, playsMinor: null, second: null },
  ]);
});

it('takes plays for coins and notes together where a board counts no cash, and shows them as a witness where it does', () => {
  const plays = meter('plays', [at(0, 0n), at(100, 10n, first)], { unitValues: [{ fromMs: 0, minor: 50n }] });
  expect(expectedCashOf([board([plays])])).toMatchObject([{ tender: 'cash', expectedMinor: 500n, playsMinor: null }]);
  const tests = meter('test-plays', [at(0, 0n), at(100, 2n, first)], { unitValues: [{ fromMs: 0, minor: 50n }] });
  expect(expectedCashOf([board([plays, tests, meter('refunds', [at(0, 0n), at(100, 1n, first)])])])).toMatchObject([{ tender: 'cash', expectedMinor: 375n }]);
  expect(expectedCashOf([board([plays, meter('coin', [at(0, 0n), at(100, 19n, first)])])])).toMatchObject([{ tender: 'coin', expectedMinor: 475n, playsMinor: 500n }]);
});

it('takes tests out of the plays that stand as a witness, and tells of them beside notes alone, too', () => {
  const price = { unitValues: [{ fromMs: 0, minor: 50n }] };
  const plays = meter('plays', [at(0, 0n), at(100, 24n, first)], price);
  const tests = meter('test-plays', [at(0, 0n), at(100, 4n, first)], price);
  expect(expectedCashOf([board([plays, tests, meter('note', [at(0, 0n), at(100, 12n, first)])])])).toMatchObject([{ tender: 'note', expectedMinor: 1_000n, playsMinor: 1_000n }]);
  const both = expectedCashOf([board([plays, meter('coin', [at(0, 0n), at(100, 8n, first)]), meter('note', [at(0, 0n), at(100, 10n, first)])])]);
  expect(both.map(({ tender, playsMinor }) => [tender, playsMinor])).toEqual([['coin', 1_200n], ['note', null]]);
});

describe('a board that counts plays alone and one that knows coins and notes, one after the other', () => {
  const change = { fittedMs: 0, removedMs: 100 * HOUR_MS };
  const of = (end: number) => ({ plays: meter('plays', [at(0, 0n), at(100, 40n)], { unitValues: [{ fromMs: 0, minor: 100n }] }), coin: meter('coin', [at(100, 0n), at(end, 80n, first)]), note: meter('note', [at(100, 0n), at(end, 5n, first)]) });

  it('compares what lay in the box as a whole, however the coins of one part are known', () => {
    const { plays, coin, note } = of(200);
    const boards = [board([plays], change), board([coin, note], { id: 'new', fittedMs: 100 * HOUR_MS })];
    // 40 plays at 1.00, then 80 quarters and 5 notes of 1.00.
    expect(expectedCashOf(boards)).toMatchObject([{ tender: 'cash', expectedMinor: 4_000n + 2_000n + 500n, unknown: [] }]);
    const backwards = [board([meter('coin', [at(0, 0n), at(100, 80n)]), meter('note', [at(0, 0n), at(100, 5n)])], change), board([meter('plays', [at(100, 0n), at(200, 40n, first)], { unitValues: [{ fromMs: 0, minor: 100n }] })], { id: 'new', fittedMs: 100 * HOUR_MS })];
    expect(expectedCashOf(backwards)).toMatchObject([{ tender: 'cash', expectedMinor: 6_500n }]);
  });

  it('keeps the tenders apart where the board was changed as the box was emptied', () => {
    const known = board([meter('coin', [at(0, 0n), at(100, 80n, first)]), meter('note', [at(0, 0n), at(100, 5n, first)])], change);
    const next = board([meter('plays', [at(100, 7n)])], { id: 'new', fittedMs: 100 * HOUR_MS });
    expect(expectedCashOf([known, next]).map(({ tender, expectedMinor }) => [tender, expectedMinor])).toEqual([['coin', 2_000n], ['note', 500n]]);
  });
});

describe('a second counter of the same cash', () => {
  const electronic = (readings: readonly Reading[]) => meter('coin', readings, { id: 'electronic' });
  const mechanical = (readings: readonly Reading[], fields: Partial<Meter> = {}) => meter('coin', readings, { id: 'mechanical', secondOf: 'electronic', ...fields });

  it('is in no sum, and stands beside its first', () => {
    const found = expectedCashOf([board([electronic([at(0, 100n), at(100, 500n, first)]), mechanical([at(0, 7_000n), at(100, 7_396n, first)])])]);
    expect(found).toMatchObject([{ tender: 'coin', expectedMinor: 10_000n, knownMinor: 10_000n, playsMinor: null, second: { expectedMinor: 9_900n, apartMinor: 100n } }]);
  });
  it('may count in other units, begins again at zero by itself, and leaves tests and what was paid back as they are', () => {
    const own = mechanical([at(0, 99_990n), at(100, 30n, first)], { unitValues: [{ fromMs: 0, minor: 250n }] });
    const tests = meter('test-plays', [at(0, 0n), at(100, 4n, first)]);
    expect(expectedCashOf([board([electronic([at(0, 0n), at(100, 400n, first)]), own, tests])])).toMatchObject([{ expectedMinor: 9_900n, second: { expectedMinor: 9_900n, apartMinor: 0n } }]);
  });
  it('never sets off one pair against another', () => {
    const pairs = [electronic([at(0, 0n), at(100, 10n, first)]), mechanical([at(0, 0n), at(100, 8n, first)]), meter('coin', [at(0, 0n), at(100, 10n, first)], { id: 'dollars' }), meter('coin', [at(0, 0n), at(100, 12n, first)], { id: 'dollars, mechanical', secondOf: 'dollars' })];
    expect(expectedCashOf([board(pairs)])).toMatchObject([{ expectedMinor: 500n, second: { expectedMinor: 500n, apartMinor: 100n } }]);
  });
  it('says nothing where it was not read, or over another time, and keeps nobody from knowing what is expected', () => {
    const readings = [at(0, 0n), at(100, 40n, first), at(200, 80n, second)];
    const found = expectedCashOf([board([electronic(readings), mechanical([at(0, 0n), at(200, 80n, second)])])]);
    expect(found).toMatchObject([{ expectedMinor: 1_000n, unknown: [], second: null }, { expectedMinor: 1_000n, unknown: [], second: null }]);
    expect(expectedCashOf([board([electronic(readings.slice(0, 2)), mechanical([at(0, 90_000n), at(100, 50_000n, first)])])])).toMatchObject([{ expectedMinor: 1_000n, unknown: [], second: null }]);
  });
  it('of plays of a board without meters of cash is one, too', () => {
    const plays = [meter('plays', [at(0, 0n), at(100, 10n, first)]), meter('plays', [at(0, 0n), at(100, 9n, first)], { id: 'mechanical', secondOf: 'plays' })];
    expect(expectedCashOf([board(plays)])).toMatchObject([{ tender: 'cash', expectedMinor: 250n, playsMinor: null, second: { expectedMinor: 225n, apartMinor: 25n } }]);
  });
});

it('makes one long interval of a missed reading, and says that the collection between has no figure', () => {
  const coin = meter('coin', [at(0, 0n), at(100, 40n, first), at(300, 120n, { collectionId: 'third' })]);
  const note = meter('note', [at(0, 0n), at(100, 4n, first), at(200, 9n, second), at(300, 12n, { collectionId: 'third' })]);
  expect(expectedCashOf([board([coin, note])]).filter(({ collectionId }) => collectionId !== 'first')).toMatchObject([
    { collectionId: 'second', tender: 'coin', expectedMinor: null, unknown: ['not-read'] },
    { collectionId: 'second', tender: 'note', expectedMinor: 500n },
    { collectionId: 'third', tender: 'coin', expectedMinor: 2_000n, sinceMs: 100 * HOUR_MS },
    { collectionId: 'third', tender: 'note', expectedMinor: 300n, sinceMs: 200 * HOUR_MS },
  ]);
});

it('adds up the segments of two boards, the old one up to its removal', () => {
  const old = board([meter('coin', [at(0, 90_000n), at(50, 90_100n)])], { id: 'old', removedMs: 50 * HOUR_MS });
  const fresh = board([meter('coin', [at(50, 3n), at(100, 13n, first)])], { id: 'fresh', fittedMs: 50 * HOUR_MS });
  expect(expectedCashOf([old, fresh])).toMatchObject([{ collectionId: 'first', expectedMinor: 2_750n, unknown: [], sinceMs: 0 }]);
});

describe('a machine that is moved', () => {
  // It stands at A from the first hour on, is taken away after 200, and comes to B at 210.
  const days = (lastEmptied: Stay['lastEmptied']) => staysOf([
    { id: 'A', siteId: 'a', placedDayMs: 0, placedReadMs: [], removedDayMs: 192 * HOUR_MS, removedReadMs: [200 * HOUR_MS], lastEmptied },
    { id: 'B', siteId: 'b', placedDayMs: 192 * HOUR_MS, placedReadMs: [210 * HOUR_MS], removedDayMs: null, removedReadMs: [], lastEmptied: null },
  ]);
  const inA = { placementId: 'A' };
  const inB = { placementId: 'B' };
  const emptied = { collectionId: 'first', atMs: 100 * HOUR_MS };
  const figures = (readings: readonly Reading[], last: Stay['lastEmptied'] = emptied) =>
    expectedOfStays([board([meter('coin', readings)])], days(last)).map(({ collectionId, expectedMinor, unknown, mixed, sinceMs }) => [collectionId, expectedMinor, sinceMs / HOUR_MS, ...unknown, ...(mixed ? ['mixed'] : [])]);

  it('gives what its meter counted by the removal to the last collection there, at which it was not read, and none of it to the next place', () => {
    const readings = [at(0, 0n, inA), at(200, 400n, inA), at(210, 400n, inB), at(300, 500n, { ...second, ...inB })];
    expect(figures(readings)).toEqual([['first', 10_000n, 0], ['second', 2_500n, 210]]);
  });
  it('leaves what is played in the workshop to no collection', () => {
    const readings = [at(0, 0n, inA), at(100, 400n, { ...first, ...inA }), at(200, 400n, inA), at(210, 600n, inB), at(300, 700n, { ...second, ...inB })];
    expect(figures(readings)).toEqual([['first', 10_000n, 0], ['second', 2_500n, 210]]);
    const between = intervalsOf(meter('coin', []), readings).map((interval) => isBetweenPlaces(interval, days(emptied)));
    expect(between).toEqual([false, false, true, false]);
  });
  it('gives nobody what was played after the last collection at a place', () => {
    const readings = [at(0, 0n, inA), at(100, 400n, { ...first, ...inA }), at(200, 410n, inA), at(210, 410n, inB), at(300, 500n, { ...second, ...inB })];
    expect(figures(readings)).toEqual([['first', 10_000n, 0], ['second', 2_250n, 210]]);
  });
  it('gives the count of the removal what was read as it left, although nobody read it with the count, and the next place none of it', () => {
    const readings = [at(0, 0n, inA), at(100, 400n, { ...first, ...inA }), at(200, 450n, inA), at(300, 550n, { ...second, ...inB })];
    expect(figures(readings, { collectionId: 'last', atMs: 202 * HOUR_MS })).toEqual([['first', 10_000n, 0], ['last', 1_250n, 100], ['second', 2_500n, 200]]);
  });
  it('knows nothing of either place where its meter was read neither at the last collection nor at the move', () => {
    const readings = [at(0, 0n, inA), at(300, 500n, { ...second, ...inB })];
    expect(figures(readings)).toEqual([['first', null, 100, 'not-read', 'mixed'], ['second', null, 300, 'first-reading', 'mixed']]);
  });
  it('gives the next place nothing of what follows the last collection, where nobody read it at the move', () => {
    const readings = [at(0, 0n, inA), at(100, 400n, { ...first, ...inA }), at(300, 500n, { ...second, ...inB })];
    expect(figures(readings)).toEqual([['first', 10_000n, 0], ['second', null, 300, 'first-reading', 'mixed']]);
  });
  it('parts the day of the move by the readings at it, and by the days where there are none', () => {
    expect(days(null).map(({ fromMs, untilMs }) => [fromMs / HOUR_MS, untilMs === null ? null : untilMs / HOUR_MS])).toEqual([[0, 200], [210, null]]);
    const where = (hours: number, fields: object = {}) => stayAt(days(null), { atMs: hours * HOUR_MS, placing: false, siteId: null, ...fields })?.placementId ?? null;
    expect([where(199), where(200), where(205), where(210), where(220)]).toEqual(['A', 'A', null, 'B', 'B']);
    // Emptied at A on that day after it had left, as a box that went along.
    expect(where(220, { siteId: 'a' })).toBe('A');
    const unread = staysOf([
      { id: 'A', siteId: 'a', placedDayMs: 0, placedReadMs: [], removedDayMs: 192 * HOUR_MS, removedReadMs: [], lastEmptied: { collectionId: 'removal', atMs: 203 * HOUR_MS } },
      { id: 'B', siteId: 'b', placedDayMs: 192 * HOUR_MS, placedReadMs: [], removedDayMs: null, removedReadMs: [], lastEmptied: null },
    ]);
    expect(unread.map(({ fromMs }) => fromMs / HOUR_MS)).toEqual([0, 203]);
  });
});

it('never makes revenue of a reset: it has no figure until the values before and after are there', () => {
  const readings = [at(0, 40_000n), at(336, 120n, first)];
  expect(expectedCashOf([board([meter('coin', readings)])])).toMatchObject([{ expectedMinor: null, unknown: ['reset-or-wrong'] }]);
  const explained = [...readings, at(300, 40_200n, { phase: 'before' }), at(300, 0n, { phase: 'after' })];
  expect(expectedCashOf([board([meter('coin', explained)])])).toMatchObject([{ expectedMinor: 8_000n, unknown: [] }]);
});

it('says what a round of a meter would be worth that nobody could have seen, and expects none of it', () => {
  // 300 quarters an hour for three weeks are 151,200: after a rise of 39,880 there is room for another 100,000, which are 25,000.00.
  const seen = (hours: number, ...more: object[]) => expectedCashOf([board([meter('coin', [at(0, 120n), ...more.map((fields) => at(200, 20_000n, fields)), at(hours, 40_000n, first)], { mostPerHour: 300n })])]);
  expect(seen(504)).toMatchObject([{ expectedMinor: 997_000n, unseenRoundMinor: 2_500_000n }]);
  expect(seen(336)).toMatchObject([{ expectedMinor: 997_000n, unseenRoundMinor: null }]);
  // A reading in between leaves no room for it.
  expect(seen(504, {})).toMatchObject([{ expectedMinor: 997_000n, unseenRoundMinor: null }]);
});

it('never makes revenue of a fall that a reset explains as well, until somebody says what it was', () => {
  // 300 quarters an hour for two weeks are more than five digits show: 60,120 of them would be 15,030.00.
  const fast = (...readings: Reading[]) => expectedCashOf([board([meter('coin', [at(0, 40_000n), ...readings], { mostPerHour: 300n })])]);
  expect(fast(at(336, 120n, first))).toMatchObject([{ expectedMinor: null, unknown: ['rollover-or-reset'], knownMinor: 0n }]);
  expect(fast(at(336, 120n, { ...first, confirmed: true }))).toMatchObject([{ expectedMinor: null, unknown: ['rollover-or-reset'] }]);
  expect(fast(at(336, 120n, { ...first, confirmed: true, passedEnd: true }))).toMatchObject([{ expectedMinor: 1_503_000n, unknown: [] }]);
  // It was set back on the last but one day, at 40,200.
  expect(fast(at(312, 40_200n, { phase: 'before' }), at(312, 0n, { phase: 'after' }), at(336, 120n, first))).toMatchObject([{ expectedMinor: 8_000n, unknown: [] }]);
});

it('knows nothing of a box whose meter was read for the first time', () => {
  expect(expectedCashOf([board([meter('coin', [at(100, 500n, first)])])])).toMatchObject([{ expectedMinor: null, unknown: ['first-reading'] }]);
});

it('does not say what was played across a change of price that nobody read the meter at', () => {
  const unitValues = [{ fromMs: 0, minor: 50n }, { fromMs: 50 * HOUR_MS, minor: 100n }];
  const of = (...readings: Reading[]) => expectedCashOf([board([meter('plays', [at(0, 0n), ...readings], { unitValues })])]);
  expect(of(at(100, 30n, first))).toMatchObject([{ expectedMinor: null, unknown: ['price-unread'] }]);
  // Read as it changed, 20 plays were at 0.50 and 10 at 1.00; read at the visit of that very moment, all before it.
  expect(of(at(50, 20n), at(100, 30n, first))).toMatchObject([{ expectedMinor: 2_000n, unknown: [] }]);
  expect(of(at(50, 20n, first))).toMatchObject([{ expectedMinor: 1_000n, unknown: [] }]);
  // Where nothing was played it is worth nothing at either; and a value that stayed the same is no change.
  expect(of(at(100, 0n, first))).toMatchObject([{ expectedMinor: 0n, unknown: [] }]);
  expect(expectedCashOf([board([meter('plays', [at(0, 0n), at(100, 4n, first)], { unitValues: [{ fromMs: 0, minor: 50n }, { fromMs: 50 * HOUR_MS, minor: 50n }] })])])).toMatchObject([{ expectedMinor: 200n, unknown: [] }]);
  // It is no reading that cannot be, and is not sent back.
  expect(fitsNeighbours(meter('plays', [], { unitValues }), { reading: at(100, 30n), others: [at(0, 0n)] })).toBe(true);
});

it('does not say what was played across an opening of the board that nobody read the meter at, be it set back then or not', () => {
  const openedMs = [50 * HOUR_MS];
  const of = (...readings: Reading[]) => expectedCashOf([board([meter('coin', [at(0, 400n), ...readings], { openedMs })])]).map(({ expectedMinor, unknown }) => [expectedMinor, ...unknown]);
  // Set back to zero it shows less; played on for long enough it shows more, and 200 would be too few.
  for (const shown of [120n, 400n, 600n]) expect(of(at(100, shown, first))).toEqual([[null, 'board-unread']]);
  // The next box is known again: one long interval is not, and no spike follows it.
  expect(of(at(100, 120n, first), at(200, 160n, second))).toEqual([[null, 'board-unread'], [1_000n]]);
  expect(of(at(50, 500n, { phase: 'before' }), at(50, 0n, { phase: 'after' }), at(100, 120n, first))).toEqual([[5_500n]]);
  // A single value of that moment may be the one before or the one after.
  expect(of(at(50, 500n), at(100, 620n, first))).toEqual([[null, 'board-unread']]);
  // Whoever reads it afterwards is not sent back to it: it may show less.
  const fits = (opened: readonly number[]) => fitsNeighbours(meter('coin', [], { openedMs: opened }), { reading: at(100, 120n), others: [at(0, 400n)] });
  expect([fits(openedMs), fits([])]).toEqual([true, false]);
});

it('values an interval at the price that held when it began', () => {
  const plays = meter('plays', [at(0, 0n), at(50, 10n), at(100, 30n, first)], { unitValues: [{ fromMs: 0, minor: 50n }, { fromMs: 50 * HOUR_MS, minor: 75n }] });
  expect(expectedCashOf([board([plays])])).toMatchObject([{ expectedMinor: 10n * 50n + 20n * 75n }]);
});

it('asks to read again what does not fit the readings around it, and lets a late one in between that does', () => {
  const coin = meter('coin', []);
  const others = [at(0, 100n), at(200, 300n)];
  const fits = (value: bigint) => fitsNeighbours(coin, { reading: at(100, value, { phase: 'only' }), others });
  expect([fits(99n), fits(100n), fits(300n), fits(301n)]).toEqual([false, true, true, false]);
});

/** A machine that takes a known number of coins an hour; boards come and go, meters roll over, and readings arrive in any order. */
const life = fc.record({
  start: fc.bigInt({ min: 0n, max: 999n }),
  steps: fc.array(
    fc.record({ coins: fc.bigInt({ min: 0n, max: 90n }), event: fc.constantFrom('collection', 'new-board', 'board-open', 'price-change'), value: fc.bigInt({ min: 0n, max: 999n }) }),
    { minLength: 1, maxLength: 30 },
  ),
  order: fc.array(fc.nat(), { minLength: 70, maxLength: 70 }),
});

it('sums the segments to what went in, across any number of board changes, in whatever order the readings came', () => {
  fc.assert(
    fc.property(life, ({ start, steps, order }) => {
      type Growing = { fittedMs: number; removedMs: number | null; readings: Reading[] };
      const opened = (value: bigint, atMs: number): Growing => ({ fittedMs: atMs, removedMs: null, readings: [at(atMs / HOUR_MS, value, { phase: atMs === 0 ? 'only' : 'after' })] });
      const boards = [opened(start, 0)];
      const expected = new Map<string, bigint>();
      let shown = start;
      let sinceEmptied = 0n;
      steps.forEach(({ coins, event, value }, index) => {
        const hours = index + 1;
        const current = boards.at(-1);
        if (current === undefined) throw new Error('there is always a board');
        shown = (shown + coins) % 1_000n;
        sinceEmptied += coins;
        if (event === 'collection') {
          const collectionId = String(index);
          current.readings.push(at(hours, shown, { collectionId }));
          expected.set(collectionId, sinceEmptied * 25n);
          sinceEmptied = 0n;
        } else if (event === 'price-change') current.readings.push(at(hours, shown));
        else {
          current.readings.push(at(hours, shown, { phase: 'before' }));
          shown = value;
          if (event === 'board-open') current.readings.push(at(hours, value, { phase: 'after' }));
          else {
            current.removedMs = hours * HOUR_MS;
            boards.push(opened(value, hours * HOUR_MS));
          }
        }
      });
      const shuffled = boards.map(({ readings, ...days }, index) =>
        board([meter('coin', readings.map((reading, place) => ({ reading, key: order[place] ?? 0 })).sort((one, other) => one.key - other.key).map(({ reading }) => reading), { capacity: 1_000n })], { id: String(index), ...days }),
      );
      const figures = expectedCashOf(shuffled);
      expect(new Map(figures.map(({ collectionId, expectedMinor }) => [collectionId, expectedMinor]))).toEqual(expected);
      const known = shuffled.flatMap(({ meters }) => meters.flatMap((each) => intervalsOf(each, each.readings)));
      expect(known.every(({ valueMinor }) => valueMinor !== null)).toBe(true);
      expect(known.reduce((sum, { valueMinor }) => sum + (valueMinor ?? 0n), 0n)).toBe(steps.reduce((sum, { coins }) => sum + coins, 0n) * 25n);
    }),
    { numRuns: 300 },
  );
});
