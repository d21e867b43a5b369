import fc from 'fast-check';
import { expectedCashOf as expectedOfStays } from './expected-cash';
import type { Board } from './meter';
import { staysOf } from './stays';
import { at, board, HOUR_MS, meter } from '#tests/support/meter-readings';

/** Of a machine that never moved. */
const expectedCashOf = (boards: readonly Board[]) => expectedOfStays(boards, []);
const first = { collectionId: 'first' };
const second = { collectionId: 'second' };
const third = { collectionId: 'third' };

describe('a tender of which one meter was not read', () => {
  const figures = (boards: readonly Board[]) => expectedCashOf(boards).map(({ collectionId, tender, expectedMinor, sinceMs, knownMinor, unknown, playsMinor, second: other }) => [collectionId, tender, expectedMinor, sinceMs / HOUR_MS, knownMinor, unknown.join(' '), playsMinor, other?.apartMinor ?? null]);

  it('is expected at the next collection over all that was not told before, and is no part of it', () => {
    const coin = meter('coin', [at(0, 0n), at(100, 400n, first), at(200, 800n, second)]);
    const tests = meter('test-plays', [at(0, 0n), at(200, 4n, second)]);
    expect(figures([board([coin, tests])])).toEqual([['first', 'coin', null, 0, 10_000n, 'not-read', null, null], ['second', 'coin', 19_900n, 0, 9_900n, '', null, null]]);
    const dollars = meter('coin', [at(0, 0n), at(200, 50n, second)], { id: 'dollars', unitValues: [{ fromMs: 0, minor: 100n }] });
    expect(figures([board([coin, dollars])])).toEqual([['first', 'coin', null, 0, 10_000n, 'not-read', null, null], ['second', 'coin', 25_000n, 0, 15_000n, '', null, null]]);
  });
  it('waits on where the meters are missed by turns', () => {
    const coin = meter('coin', [at(0, 0n), at(100, 400n, first), at(300, 900n, third)]);
    const dollars = meter('coin', [at(0, 0n), at(200, 50n, second), at(300, 60n, third)], { id: 'dollars', unitValues: [{ fromMs: 0, minor: 100n }] });
    expect(figures([board([coin, dollars])]).map(([id, , expected, since, , unknown]) => [id, expected, since, unknown])).toEqual([['first', null, 0, 'not-read'], ['second', null, 0, 'not-read'], ['third', 22_500n + 6_000n, 0, '']]);
  });
  it('has with it what a board counted that came out before', () => {
    const old = board([meter('coin', [at(0, 0n), at(50, 200n)])], { id: 'old', removedMs: 50 * HOUR_MS });
    const note = meter('note', [at(50, 0n), at(100, 3n, first), at(200, 4n, second)]);
    const fresh = board([meter('coin', [at(50, 0n), at(200, 400n, second)], { id: 'fresh coin' }), note], { id: 'fresh', fittedMs: 50 * HOUR_MS });
    expect(figures([old, fresh]).filter(([, tender]) => tender === 'coin')).toEqual([['first', 'coin', null, 0, 5_000n, 'not-read', null, null], ['second', 'coin', 15_000n, 0, 10_000n, '', null, null]]);
  });
  it('is not known at the next collection where what it waited with is not', () => {
    const coin = meter('coin', [at(0, 40_000n), at(100, 120n, first), at(200, 520n, second), at(300, 920n, third)]);
    const tests = meter('test-plays', [at(0, 0n), at(200, 4n, second), at(300, 4n, third)]);
    expect(expectedCashOf([board([coin, tests])])).toMatchObject([
      { collectionId: 'first', expectedMinor: null, unknown: ['not-read', 'reset-or-wrong'], unknownHere: ['not-read', 'reset-or-wrong'] },
      { collectionId: 'second', expectedMinor: null, unknown: ['reset-or-wrong'], knownMinor: 9_900n, unknownHere: [] },
      { collectionId: 'third', expectedMinor: 10_000n, unknown: [], sinceMs: 200 * HOUR_MS },
    ]);
  });
  it('is not told together with notes that were told before', () => {
    const price = { unitValues: [{ fromMs: 0, minor: 100n }] };
    const old = board([meter('coin', [at(0, 0n), at(100, 40n, first), at(150, 60n)]), meter('note', [at(0, 0n), at(100, 5n, first), at(150, 6n)]), meter('test-plays', [at(0, 0n), at(150, 1n)])], { id: 'old', removedMs: 150 * HOUR_MS });
    const fresh = board([meter('plays', [at(150, 0n), at(200, 7n, second)], price)], { id: 'fresh', fittedMs: 150 * HOUR_MS });
    expect(expectedCashOf([old, fresh])).toMatchObject([{ tender: 'coin', unknown: ['not-read'] }, { tender: 'note', expectedMinor: 500n }, { collectionId: 'second', tender: 'cash', expectedMinor: null, unknown: ['not-read'], unknownHere: [], knownMinor: 500n - 25n + 100n + 700n }]);
  });
  it('stays so where it waits once more', () => {
    const price = { unitValues: [{ fromMs: 0, minor: 100n }] };
    const old = board([meter('coin', [at(0, 0n), at(100, 40n, first), at(150, 60n)]), meter('note', [at(0, 0n), at(100, 5n, first), at(150, 6n)]), meter('test-plays', [at(0, 0n), at(150, 1n)])], { id: 'old', removedMs: 150 * HOUR_MS });
    const fresh = board([meter('plays', [at(150, 0n), at(200, 7n, second), at(300, 9n, third), at(400, 12n, { collectionId: 'fourth' })], price), meter('test-plays', [at(150, 0n), at(300, 1n, third), at(400, 1n, { collectionId: 'fourth' })], { id: 'fresh tests' })], { id: 'fresh', fittedMs: 150 * HOUR_MS });
    expect(expectedCashOf([old, fresh]).map(({ collectionId, tender, expectedMinor, sinceMs, unknown }) => [collectionId, tender, expectedMinor, sinceMs / HOUR_MS, ...unknown])).toEqual([
      ['first', 'coin', null, 0, 'not-read'], ['first', 'note', 500n, 0], ['second', 'cash', null, 0, 'not-read'], ['third', 'cash', null, 0, 'not-read'], ['fourth', 'cash', 300n, 300],
    ]);
  });
  it('says the same whether readings of before are known or not, and waits for no board that came out', () => {
    const days = staysOf([
      { id: 'A', siteId: 'a', placedDayMs: 0, placedReadMs: [], removedDayMs: 192 * HOUR_MS, removedReadMs: [], lastEmptied: { collectionId: 'first', atMs: 100 * HOUR_MS } },
      { id: 'B', siteId: 'b', placedDayMs: 216 * HOUR_MS, placedReadMs: [], removedDayMs: null, removedReadMs: [], lastEmptied: null },
    ]);
    const [inA, inB] = [{ placementId: 'A' }, { placementId: 'B' }];
    const old = board([meter('coin', [at(0, 0n, inA), at(100, 400n, { ...first, ...inA }), at(250, 500n, inB)])], { id: 'old', removedMs: 250 * HOUR_MS });
    const fresh = board([meter('coin', [at(250, 0n, inB), at(300, 100n, { ...second, ...inB }), at(400, 200n, { ...third, ...inB })], { id: 'fresh coin' })], { id: 'fresh', fittedMs: 250 * HOUR_MS });
    const thirdOf = (boards: readonly Board[]) => expectedOfStays(boards, days).filter(({ collectionId }) => collectionId === 'third');
    expect(thirdOf([old, fresh])).toMatchObject([{ expectedMinor: 2_500n, unknown: [], sinceMs: 300 * HOUR_MS }]);
    expect(thirdOf([old, fresh])).toEqual(thirdOf([fresh]));
  });
  it('leaves a machine that is moved without what waited at the place before', () => {
    const days = staysOf([
      { id: 'A', siteId: 'a', placedDayMs: 0, placedReadMs: [], removedDayMs: 192 * HOUR_MS, removedReadMs: [200 * HOUR_MS], lastEmptied: { collectionId: 'first', atMs: 100 * HOUR_MS } },
      { id: 'B', siteId: 'b', placedDayMs: 192 * HOUR_MS, placedReadMs: [210 * HOUR_MS], removedDayMs: null, removedReadMs: [], lastEmptied: null },
    ]);
    const moved = [at(200, 800n, { placementId: 'A' }), at(210, 800n, { placementId: 'B' }), at(300, 900n, { ...second, placementId: 'B' })];
    const coin = meter('coin', [at(0, 0n, { placementId: 'A' }), at(100, 400n, { ...first, placementId: 'A' }), ...moved]);
    const tests = meter('test-plays', [at(0, 0n, { placementId: 'A' }), at(210, 6n, { placementId: 'B' }), at(300, 8n, { ...second, placementId: 'B' })]);
    expect(expectedOfStays([board([coin, tests])], days).map(({ collectionId, expectedMinor, sinceMs }) => [collectionId, expectedMinor, sinceMs / HOUR_MS])).toEqual([['first', null, 0], ['second', 2_450n, 210]]);
  });
  it('takes second counters and plays along, and never over another time', () => {
    const price = { unitValues: [{ fromMs: 0, minor: 50n }] };
    const coin = meter('coin', [at(0, 0n), at(100, 400n, first), at(200, 800n, second)]);
    const mechanical = meter('coin', [at(0, 0n), at(100, 399n, first), at(200, 797n, second)], { id: 'mechanical', secondOf: 'coin' });
    const plays = meter('plays', [at(0, 0n), at(100, 200n, first), at(200, 400n, second)], price);
    const tests = meter('test-plays', [at(0, 0n), at(200, 4n, second)], price);
    expect(figures([board([coin, mechanical, plays, tests])])).toEqual([['first', 'coin', null, 0, 10_000n, 'not-read', null, null], ['second', 'coin', 19_800n, 0, 9_800n, '', 19_800n, 75n]]);
    // The plays were missed alone: they tell of both boxes, and the coins of one.
    const missed = meter('plays', [at(0, 0n), at(200, 400n, second)], price);
    expect(figures([board([coin, missed])])).toEqual([['first', 'coin', 10_000n, 0, 10_000n, '', null, null], ['second', 'coin', 10_000n, 100, 10_000n, '', null, null]]);
  });
});

/** A machine with several meters to a tender, of which each may be missed at a collection. */
const missing = fc.array(
  fc.record({ coins: fc.bigInt({ min: 0n, max: 90n }), dollars: fc.bigInt({ min: 0n, max: 90n }), notes: fc.bigInt({ min: 0n, max: 90n }), tests: fc.bigInt({ min: 0n, max: 90n }), refunds: fc.bigInt({ min: 0n, max: 90n }), event: fc.constantFrom('collection', 'collection', 'new-board'), missed: fc.subarray(['coins', 'dollars', 'notes', 'tests', 'refunds'] as const) }),
  { minLength: 1, maxLength: 30 },
);

it('sums the segments of all meters of a tender to what went in since all of them were read, whichever were missed, across board changes', () => {
  const kinds = { coins: ['coin', 25n], dollars: ['coin', 100n], notes: ['note', 100n], tests: ['test-plays', -25n], refunds: ['refunds', -25n] } as const;
  const names = ['coins', 'dollars', 'notes', 'tests', 'refunds'] as const;
  const tenderOf = (name: (typeof names)[number]) => (name === 'notes' ? 'note' : 'coin');
  fc.assert(
    fc.property(missing, (steps) => {
      const shown = { coins: 0n, dollars: 0n, notes: 0n, tests: 0n, refunds: 0n };
      const fit = (hours: number, removed: number | null = null) => ({ hours, removed, readings: new Map(names.map((name) => [name, [at(hours, shown[name], { phase: 'after' })]])) });
      const boards = [fit(0)];
      const since = { coin: { minor: 0n, hours: 0 }, note: { minor: 0n, hours: 0 } };
      const expected: unknown[] = [];
      let total = 0n;
      steps.forEach((step, index) => {
        const hours = index + 1;
        for (const name of names) {
          shown[name] += step[name];
          since[tenderOf(name)].minor += step[name] * kinds[name][1];
        }
        const current = boards.at(-1);
        if (current === undefined) throw new Error('there is always a board');
        const isCollection = step.event === 'collection';
        const read = names.filter((name) => !isCollection || !step.missed.includes(name));
        for (const name of read) current.readings.get(name)?.push(at(hours, shown[name], isCollection ? { collectionId: String(index) } : { phase: 'before' }));
        if (!isCollection) {
          current.removed = hours;
          boards.push(fit(hours));
        } else if (read.length > 0) {
          for (const tender of ['coin', 'note'] as const) {
            const isRead = names.every((name) => tenderOf(name) !== tender || read.includes(name));
            expected.push([String(index), tender, isRead ? since[tender].minor : null, since[tender].hours, isRead ? '' : 'not-read']);
            total += isRead ? since[tender].minor : 0n;
            if (isRead) since[tender] = { minor: 0n, hours };
          }
        }
      });
      // Read as it stands in the end, so that nothing is left out of the sum of the parts.
      const end = steps.length + 1;
      for (const name of names) boards.at(-1)?.readings.get(name)?.push(at(end, shown[name], { collectionId: 'end' }));
      for (const tender of ['coin', 'note'] as const) expected.push(['end', tender, since[tender].minor, since[tender].hours, '']);
      total += since.coin.minor + since.note.minor;
      const told = expectedCashOf(
        boards.map(({ hours, removed, readings }, index) =>
          board(names.map((name) => meter(kinds[name][0], readings.get(name) ?? [], { id: `${name} ${String(index)}`, unitValues: [{ fromMs: 0, minor: kinds[name][1] < 0n ? -kinds[name][1] : kinds[name][1] }] })), { id: String(index), fittedMs: hours * HOUR_MS, removedMs: removed === null ? null : removed * HOUR_MS }),
        ),
      );
      const waited = (minor: bigint | null, sinceMs: number, unknown: readonly string[]) => [minor, sinceMs / HOUR_MS, unknown.join(' ')];
      const seen = told.map(({ collectionId, tender, expectedMinor, sinceMs, unknown }) => [collectionId, tender, ...waited(expectedMinor, sinceMs, unknown)]);
      const sinceOfKnown = (rows: readonly unknown[]) => rows.map((row) => (Array.isArray(row) && row[2] === null ? [row[0], row[1], null, row[4]] : row));
      expect(sinceOfKnown(seen)).toEqual(sinceOfKnown(expected));
      expect(told.reduce((sum, { knownMinor }) => sum + knownMinor, 0n)).toBe(total);
    }),
    { numRuns: 300 },
  );
});
