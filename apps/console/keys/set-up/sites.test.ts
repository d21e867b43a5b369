import type { KeyCopy, KeySite, Person } from '../../api/shapes';
import { narrowed, planHandOut, withoutLock } from './sites';

const site = (code: string, fields: Partial<KeySite> = {}): KeySite => ({
  siteId: `site ${code}`, siteCode: code, siteName: `Tavern ${code}`, machines: 2, cashBoxLocked: 2, playAreaLocked: 2, cuts: [], places: [], copies: 0, ...fields,
});
const cut = (code: string, machines = 2) => ({ keyCodeId: code, code, class: 'access' as const, machines });
const copy = (number: string, keyCodeId: string, holder: 'store' | 'place' = 'store'): KeyCopy => ({
  id: number, number, keyCodeId, code: keyCodeId, class: 'access', duplicatedFromId: null,
  where: { state: 'held', holder: { kind: holder, id: 'h', code: 'H', name: 'H', siteId: null, siteCode: null }, since: '2026-01-01T00:00:00Z', dueBackAt: null },
});
const person = (id: string, siteId: string, leftOn: string | null = null): Person => ({ id, code: id, name: id, employedBy: 'site', siteId, email: null, startedOn: '2026-01-01', leftOn, revision: 1 });

test('the list is narrowed to where something is missing, and by site and cut', () => {
  const sites = [site('S-1', { cashBoxLocked: 1 }), site('S-2', { playAreaLocked: 0, cuts: [cut('BOX-1')] }), site('S-3', { copies: 1 }), site('S-4', { machines: 0, cashBoxLocked: 0, playAreaLocked: 0 })];
  const codes = (search: string, lack: 'all' | 'cash-box' | 'play-area' | 'keys') => narrowed(sites, { search, lack, uncovered: new Set(['site S-1', 'site S-3']) }).map(({ siteCode }) => siteCode);
  expect(codes('', 'all')).toHaveLength(4);
  expect(codes('', 'cash-box')).toEqual(['S-1']);
  expect(codes('', 'play-area')).toEqual(['S-2']);
  // A key that fits none of its play areas is none.
  expect(codes('', 'keys')).toEqual(['S-1', 'S-3']);
  expect(codes('box-1', 'all')).toEqual(['S-2']);
});

test('how many machines would get a lock', () => {
  const here = site('S-1', { machines: 5, cashBoxLocked: 3, playAreaLocked: 1 });
  expect((['cash-box', 'play-area', 'everything'] as const).map((opens) => withoutLock(here, opens))).toEqual([2, 4, 2]);
});

test('each site gets a copy of its own that fits most of its machines, and who works there', () => {
  const sites = [
    site('S-1', { cuts: [cut('DOOR-1', 1), cut('DOOR-2', 3)], places: [{ keyPlaceId: 'hook', code: 'HOOK', name: 'Hook' }] }),
    site('S-0', { cuts: [cut('DOOR-2')], copies: 1 }),
    site('S-2', { cuts: [cut('DOOR-2')] }),
    site('S-3', { cuts: [cut('DOOR-2')] }),
    site('S-4', { cuts: [{ ...cut('BOX-1'), class: 'cash-box' }] }),
  ];
  const copies = [copy('D2-1', 'DOOR-2', 'place'), copy('D2-2', 'DOOR-2'), copy('D1-1', 'DOOR-1'), copy('D2-3', 'DOOR-2')];
  const people = [person('gone', 'site S-1', '2026-02-01'), person('bo', 'site S-1'), person('cy', 'site S-2')];
  const plan = planHandOut({ sites, copies, people });
  expect(plan.map((each) => [each.placeId, each.personId, each.copy?.number ?? null, each.codes[0]?.code ?? null])).toEqual([
    ['hook', 'bo', 'D2-2', 'DOOR-2'],
    [null, null, null, 'DOOR-2'],
    [null, 'cy', 'D2-3', 'DOOR-2'],
    [null, null, null, 'DOOR-2'],
    [null, null, null, null],
  ]);
});
