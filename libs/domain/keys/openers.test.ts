import fc from 'fast-check';
import type { Holder } from './custody';
import { hadKeysToEveryLock, whoCouldOpen, type CopyStay, type FittedLock, type Keeper } from './openers';

const person = (id: string): Holder => ({ kind: 'person', id });
const store: Holder = { kind: 'store', id: 'safe' };
const place: Holder = { kind: 'place', id: 'hook' };
const lock = (from: number, to: number | null, lockId = 'L', keyCodeId = 'C'): FittedLock => ({ lockId, keyCodeId, from, to });
const stay = (from: number, to: number | null, holder: Holder | null, keyCodeId = 'C'): CopyStay => ({ copyId: 'K', keyCodeId, holder, from, to });
const keeper = (personId: string, as: Keeper['as'], from: number, to: number | null, holder: Holder = store): Keeper => ({ personId, as, holder, from, to });

const named = (asked: Parameters<typeof whoCouldOpen>[0]) => whoCouldOpen(asked).reasons.map(({ personId, via, from, to }) => [personId, via, from, to]);

test('a holder is listed for as long as the copy was with them and the lock was fitted, if that touches the time asked about', () => {
  const stays = [stay(0, 10, person('early')), stay(10, 30, person('middle')), stay(30, null, person('late'))];
  expect(named({ window: { from: 15, to: 16 }, locks: [lock(12, null)], stays, keepers: [] })).toEqual([['middle', 'holds', 12, 30]]);
  expect(named({ window: { from: 5, to: 31 }, locks: [lock(0, 25)], stays, keepers: [] })).toEqual([['early', 'holds', 0, 10], ['middle', 'holds', 10, 25]]);
  expect(named({ window: { from: 5, to: 31 }, locks: [lock(0, 25, 'L', 'other')], stays, keepers: [] })).toEqual([]);
});

test('a copy in a store counts for whoever was its custodian then, and for nobody in between', () => {
  const asked = { window: { from: 0, to: 100 }, locks: [lock(0, null)], stays: [stay(0, null, store)], keepers: [keeper('first', 'custodian', 0, 20), keeper('second', 'custodian', 30, null)] };
  expect(named(asked)).toEqual([['first', 'custodian', 0, 20], ['second', 'custodian', 30, null]]);
  expect(whoCouldOpen(asked).loose).toEqual([{ copyId: 'K', lockId: 'L', holder: store, from: 20, to: 30 }]);
});

test('everybody on the list of a named place could open, and a missing copy is nobody’s', () => {
  const keepers = [keeper('bar', 'responsible', 0, null, place), keeper('waiter', 'user', 40, 50, place)];
  expect(named({ window: { from: 45, to: 46 }, locks: [lock(0, null)], stays: [stay(0, null, place)], keepers })).toEqual([['bar', 'responsible', 0, null], ['waiter', 'user', 40, 50]]);
  expect(named({ window: { from: 50, to: 51 }, locks: [lock(0, null)], stays: [stay(0, null, place)], keepers })).toEqual([['bar', 'responsible', 0, null]]);
  const missing = whoCouldOpen({ window: { from: 5, to: 6 }, locks: [lock(0, null)], stays: [stay(0, null, null)], keepers });
  expect(missing).toEqual({ reasons: [], loose: [{ copyId: 'K', lockId: 'L', holder: null, from: 0, to: null }] });
});

test('with two locks on a box, one key opens it only while the other lock is off', () => {
  const locks = [lock(0, null, 'A'), lock(10, 20, 'B')];
  const window = { from: 12, to: 30 };
  expect(hadKeysToEveryLock({ window, locks, reasons: [{ lockId: 'A', from: 0, to: 15 }] })).toBe(false);
  expect(hadKeysToEveryLock({ window, locks, reasons: [{ lockId: 'A', from: 0, to: null }] })).toBe(true);
  expect(hadKeysToEveryLock({ window, locks, reasons: [{ lockId: 'A', from: 0, to: 15 }, { lockId: 'B', from: 14, to: 16 }] })).toBe(true);
  expect(hadKeysToEveryLock({ window, locks, reasons: [{ lockId: 'A', from: 0, to: 13 }, { lockId: 'B', from: 14, to: 16 }] })).toBe(false);
  expect(hadKeysToEveryLock({ window, locks: [], reasons: [] })).toBe(false);
});

// A clock of thirty ticks, asked tick by tick: the plainest reading of the words.
const span = fc.tuple(fc.nat(29), fc.nat(29), fc.boolean()).map(([one, other, open]) => ({ from: Math.min(one, other), to: open ? null : Math.max(one, other) + 1 }));
const holder = fc.constantFrom<Holder | null>(person('p'), person('q'), store, place, null);
const at = (tick: number, each: { from: number; to: number | null }): boolean => each.from <= tick && (each.to === null || tick < each.to);

test('asked tick by tick the answer is the same', () => {
  const locks = fc.array(fc.tuple(span, fc.constantFrom('A', 'B'), fc.constantFrom('C', 'D')), { maxLength: 4 });
  const stays = fc.array(fc.tuple(span, holder, fc.constantFrom('C', 'D')), { maxLength: 6 });
  const keepers = fc.array(fc.tuple(span, fc.constantFrom(store, place), fc.constantFrom('p', 'q', 'r')), { maxLength: 5 });
  fc.assert(
    fc.property(span, locks, stays, keepers, (window, locksGiven, staysGiven, keepersGiven) => {
      const asked = {
        window,
        locks: locksGiven.map(([each, lockId, keyCodeId], index) => ({ ...each, lockId: `${lockId}${index}`, keyCodeId })),
        stays: staysGiven.map(([each, who, keyCodeId], index) => ({ ...each, copyId: `K${index}`, keyCodeId, holder: who })),
        keepers: keepersGiven.map(([each, what, personId]) => ({ ...each, holder: what, personId, as: 'user' as const })),
      };
      const ticks = [...Array(31).keys()].filter((tick) => at(tick, window));
      const naive = new Set<string>();
      const everything = new Set<string>();
      for (const tick of ticks) {
        const fitted = asked.locks.filter((each) => at(tick, each));
        const opened = new Map<string, Set<string>>();
        for (const each of fitted) {
          for (const copy of asked.stays.filter((there) => at(tick, there) && there.keyCodeId === each.keyCodeId)) {
            const who = copy.holder;
            const people = who === null ? [] : who.kind === 'person' ? [who.id] : asked.keepers.filter((kept) => at(tick, kept) && kept.holder.id === who.id).map(({ personId }) => personId);
            for (const one of people) {
              naive.add(`${one} ${copy.copyId} ${each.lockId}`);
              opened.set(one, new Set([...(opened.get(one) ?? []), each.lockId]));
            }
            if (people.length === 0) naive.add(`nobody ${copy.copyId} ${each.lockId}`);
          }
        }
        for (const [one, lockIds] of opened) if (lockIds.size === fitted.length) everything.add(one);
      }
      const { reasons, loose } = whoCouldOpen(asked);
      const found = [...reasons.map((each) => `${each.personId} ${each.copyId} ${each.lockId}`), ...loose.map((each) => `nobody ${each.copyId} ${each.lockId}`)];
      expect(new Set(found)).toEqual(naive);
      const all = ['p', 'q', 'r'].filter((one) => hadKeysToEveryLock({ window, locks: asked.locks, reasons: reasons.filter(({ personId }) => personId === one) }));
      expect(new Set(all)).toEqual(everything);
    }),
    { numRuns: 2000 },
  );
});
