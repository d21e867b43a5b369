import type { KeyCase } from '../../api/shapes';
import { nextSteps } from './next-steps';

type Lost = Parameters<typeof nextSteps>[0];
const lock = (state: KeyCase['locks'][number]['state'], overdue = false) => ({ state, overdue }) as KeyCase['locks'][number];
const holder = (given: string | null) => ({ given: given === null ? null : { keyCopyId: given, number: given } }) as KeyCase['copiesToGive'][number];
const copy = (of: { calledIn?: boolean; leftOut?: boolean; state?: 'held' | 'missing' }) =>
  ({ calledIn: of.calledIn ?? false, leftOut: of.leftOut ?? false, where: { state: of.state ?? 'held' } }) as KeyCase['copiesToCallIn'][number];
const code = { keyCodeId: 'c', code: 'CASH-8' };
const fresh: Lost = { closed: null, newCode: null, locks: [lock('open', true), lock('secured'), lock('changed', true)], copiesToGive: [holder(null)], copiesToCallIn: [copy({})] };

it('begins with the new key code, and gives no key of it before it has a name', () => {
  expect(nextSteps(fresh)).toEqual([{ kind: 'name-code', about: 'new-cut' }, { kind: 'change-locks', about: 'locks', locks: 2, overdue: 1 }, { kind: 'call-in', about: 'call-in', copies: 1 }]);
});

it('goes on with locks, keys to give and keys to call in, each with how many are left', () => {
  const named = { ...fresh, newCode: code, copiesToGive: [holder(null), holder('K-9')], copiesToCallIn: [copy({}), copy({ calledIn: true }), copy({ leftOut: true }), copy({ state: 'missing' })] };
  expect(nextSteps(named).map(({ kind }) => kind)).toEqual(['change-locks', 'give-keys', 'call-in']);
  expect(nextSteps(named).slice(1)).toEqual([{ kind: 'give-keys', about: 'give', holders: 1 }, { kind: 'call-in', about: 'call-in', copies: 1 }]);
});

it('ends with closing, once nothing takes the old key and each old one is accounted for, as the api asks', () => {
  const changed = { ...fresh, newCode: code, locks: [lock('changed')], copiesToGive: [] };
  expect(nextSteps(changed).map(({ kind }) => kind)).toEqual(['call-in']);
  expect(nextSteps({ ...changed, copiesToCallIn: [copy({ state: 'missing' }), copy({ leftOut: true })] }).map(({ kind }) => kind)).toEqual(['close']);
});

it('asks for nothing once the case is closed', () => expect(nextSteps({ ...fresh, closed: { at: '2026-11-26T10:00:00.000Z', by: 'user:u', reason: 'Done' } })).toEqual([]));
