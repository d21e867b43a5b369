import { lockDueAt, planLocks, progressOf, surelyHeldUntil, type CaseLock } from './case-plan';
import type { CustodyFact } from './custody';

const HOUR = 3_600_000;
const lock = (lockId: string, more: Partial<CaseLock> = {}): CaseLock => ({ lockId, class: 'cash-box', exposedMinor: 0n, knownAt: 0, removedAt: null, interim: [], ...more });

describe('deadlines of locks', () => {
  // K.A.R. 112-104-34(b): a lost critical key, all locks that it fits changed within 24 hours.
  test('a lock on cash is due in 24 hours, and not a moment earlier', () => {
    expect(lockDueAt(lock('a'))).toBe(24 * HOUR);
    const overdue = (now: number) => planLocks({ now, locks: [lock('a')] })[0]?.overdue;
    expect([overdue(24 * HOUR), overdue(24 * HOUR + 1)]).toEqual([false, true]);
  });

  // Our defaults, no source.
  test('an interim step buys time from when it was done, and never shortens it', () => {
    expect(lockDueAt(lock('a', { interim: [{ kind: 'box-emptied', at: 2 * HOUR }] }))).toBe(74 * HOUR);
    expect(lockDueAt(lock('a', { interim: [{ kind: 'second-lock', at: HOUR }, { kind: 'box-emptied', at: 2 * HOUR }] }))).toBe(169 * HOUR);
    expect(lockDueAt(lock('a', { interim: [{ kind: 'box-emptied', at: -80 * HOUR }] }))).toBe(24 * HOUR);
    expect(lockDueAt(lock('a', { class: 'access' }))).toBe(14 * 24 * HOUR);
  });

  test('a box that was emptied is secured until it fills again; a lock that was changed late says so', () => {
    const emptied = lock('a', { interim: [{ kind: 'box-emptied', at: HOUR }] });
    const at = (now: number) => planLocks({ now, locks: [emptied] })[0];
    expect(at(73 * HOUR)).toMatchObject({ state: 'secured', overdue: false });
    expect(at(73 * HOUR + 1)).toMatchObject({ state: 'open', overdue: true });
    const changed = (removedAt: number) => planLocks({ now: 100 * HOUR, locks: [lock('a', { removedAt })] })[0];
    expect(changed(24 * HOUR)).toMatchObject({ state: 'changed', overdue: false });
    expect(changed(25 * HOUR)).toMatchObject({ state: 'changed', overdue: true });
  });
});

test('the richest box comes first, locks without money after it, what is done last', () => {
  const locks = [lock('done', { exposedMinor: 900n, removedAt: 1 }), lock('hook', { class: 'access', exposedMinor: null }), lock('poor', { exposedMinor: 5n }), lock('nobody-knows', { exposedMinor: null }), lock('rich', { exposedMinor: 50n })];
  const plan = planLocks({ now: 2 * HOUR, locks });
  expect(plan.map(({ lockId }) => lockId)).toEqual(['rich', 'poor', 'nobody-knows', 'hook', 'done']);
  expect(progressOf(plan)).toEqual({ locks: 5, changed: 1, secured: 0, overdue: 0, nextDueAt: 24 * HOUR });
  expect(progressOf(planLocks({ now: 25 * HOUR, locks }))).toMatchObject({ overdue: 3 });
  expect(progressOf([])).toEqual({ locks: 0, changed: 0, secured: 0, overdue: 0, nextDueAt: null });
});

test('a copy was surely held when something last stood in the books before it was missed', () => {
  const fact = (eventId: string, happenedAt: number, more: Partial<CustodyFact> = {}): CustodyFact => ({ eventId, says: 'issued', correctsId: null, happenedAt, recordedAt: happenedAt, to: { kind: 'person', id: 'orla' }, ...more });
  const missing = { eventId: 'gone', happenedAt: 100 };
  const made = fact('made', 1, { says: 'made' });
  const gone = fact('gone', 100, { says: 'reported-missing', to: null });
  expect(surelyHeldUntil([gone, fact('seen', 40, { says: 'seen' }), fact('later', 120), made], missing)).toBe(40);
  expect(surelyHeldUntil([gone, made, fact('seen', 40, { says: 'seen' }), fact('undone', 40, { says: null, correctsId: 'seen', recordedAt: 110 })], missing)).toBe(1);
  expect(surelyHeldUntil([gone], missing)).toBeNull();
});
