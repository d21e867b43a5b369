import { randomUUID } from 'node:crypto';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { atPlace, inStore, keyBooks } from '#tests/support/keys';
import { errorsOf, etag, makeMachine, makePerson, makePlacement, makeSite, nextCode, type Made } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let site: Made;
let barkeeper: Made;
let collector: Made;
beforeAll(async () => {
  api = await startTestApi();
  owner = api.operator.as('owner');
  site = await makeSite(owner);
  barkeeper = await makePerson(owner, { employedBy: 'site', siteId: site.id });
  collector = await makePerson(owner);
});
afterAll(() => api?.close());

const cut = (keyClass: 'access' | 'cash-box') => keyBooks(api.operator).cut({ class: keyClass });

async function placed(): Promise<Made> {
  const machine = await makeMachine(owner);
  await makePlacement(owner, { machineId: machine.id, siteId: site.id, placedOn: '2025-02-01' });
  return machine;
}

describe('a lock', () => {
  const AT = '2026-02-01T09:00:00.000Z';
  const wish = (machine: Made, keyCodeId: string, fields: object = {}) => ({ machineId: machine.id, place: 'cash-door', opens: 'cash-box', keyCodeId, fittedAt: AT, ...fields });

  it('is fitted, changed for one of another cut, and taken off; what it took stays on record', async () => {
    const [machine, first, second] = [await placed(), await cut('cash-box'), await cut('cash-box')];
    const fitted = (await owner.post('/v1/machine-locks', wish(machine, first.id)).expect(201)).body;
    expect(fitted).toMatchObject({ machineTag: machine['tag'], class: 'cash-box', keyCode: first.code, fittedAt: AT, removedAt: null });
    const at = '2026-03-01T09:00:00.000Z';
    const changed = (await owner.post(`/v1/machine-locks/${fitted.id}/change`, { keyCodeId: second.id, changedAt: at, reason: 'Twelve months are over' }).expect(200)).body;
    expect(changed.removed).toMatchObject({ keyCode: first.code, removedAt: at, removalReason: 'Twelve months are over' });
    expect(changed.fitted).toMatchObject({ keyCode: second.code, place: 'cash-door', opens: 'cash-box', fittedAt: at, removedAt: null });
    const end = '2026-03-02T09:00:00.000Z';
    await owner.post(`/v1/machine-locks/${changed.fitted.id}/removal`, { removedAt: end, reason: 'Door replaced' }).expect(200);
    const again = await owner.post(`/v1/machine-locks/${changed.fitted.id}/removal`, { removedAt: end, reason: 'Door replaced' }).expect(422);
    expect(errorsOf(again)).toEqual(['#/removedAt removed-already']);
    const all = await owner.get(`/v1/machine-locks?machineId=${machine.id}`).expect(200);
    expect(all.body.items).toHaveLength(2);
    expect((await owner.get(`/v1/machine-locks?machineId=${machine.id}&inPlace=yes`).expect(200)).body.items).toEqual([]);
  });

  // 10 CFR 95.25(j): locks are changed at least every twelve months.
  it('is listed when it was not changed for twelve months', async () => {
    const [machine, code] = [await placed(), await cut('cash-box')];
    const old = (await owner.post('/v1/machine-locks', wish(machine, code.id, { fittedAt: '2025-03-01T09:00:00Z' })).expect(201)).body;
    const ids = async (before: string): Promise<string[]> =>
      (await owner.get(`/v1/machine-locks?inPlace=yes&keyCodeId=${code.id}&fittedBefore=${before}`).expect(200)).body.items.map((lock: { id: string }) => lock.id);
    expect(await ids('2025-03-02T00:00:00Z')).toEqual([old.id]);
    expect(await ids('2025-03-01T09:00:00Z')).toEqual([]);
  });

  it('is fitted to every machine of many sites at once, where there is none yet', async () => {
    const [here, cash, access] = [await makeSite(owner), await cut('cash-box'), await cut('access')];
    const standing = async (): Promise<Made> => {
      const machine = await makeMachine(owner);
      await makePlacement(owner, { machineId: machine.id, siteId: here.id, placedOn: '2025-02-01' });
      return machine;
    };
    const [first, second, whole] = [await standing(), await standing(), await standing()];
    const other = await cut('cash-box');
    await owner.post('/v1/machine-locks', wish(first, other.id)).expect(201);
    await owner.post('/v1/machine-locks', wish(whole, other.id, { place: 'door', opens: 'everything' })).expect(201);
    const many = { siteIds: [here.id], place: 'cash-door', opens: 'cash-box', keyCodeId: cash.id, fittedAt: AT };
    const answer = (await owner.post('/v1/machine-locks/at-sites', many).expect(201)).body;
    expect(answer).toEqual({ fitted: 1, changed: 0, leftAlone: expect.arrayContaining([first, whole].map(({ id, tag }) => ({ machineId: id, machineTag: tag, siteCode: here['code'], keyCode: other.code }))) });
    expect((await owner.get(`/v1/machine-locks?siteId=${here.id}&keyCodeId=${cash.id}`).expect(200)).body.items).toEqual([expect.objectContaining({ machineId: second.id, fittedAt: AT })]);
    // Once more changes nothing: every machine has its lock.
    expect((await owner.post('/v1/machine-locks/at-sites', many).expect(201)).body).toMatchObject({ fitted: 0 });
    const sites = (await owner.get('/v1/key-sites?limit=200').expect(200)).body.items as { siteId: string }[];
    expect(sites.find(({ siteId }) => siteId === here.id)).toMatchObject({ machines: 3, cashBoxLocked: 3, playAreaLocked: 1, copies: 0, places: [], cuts: expect.arrayContaining([{ keyCodeId: cash.id, code: cash.code, class: 'cash-box', machines: 1 }]) });
    const later = { ...many, fittedAt: '2026-03-01T09:00:00.000Z', change: { reason: 'Twelve months are over' } };
    // What one lock for everything hangs on stays; the rest takes the new cut from then on.
    expect((await owner.post('/v1/machine-locks/at-sites', later).expect(201)).body).toMatchObject({ fitted: 0, changed: 1, leftAlone: [{ machineId: second.id }, { machineId: whole.id }].sort((a, b) => (a.machineId < b.machineId ? -1 : 1)) });
    const of = async (machine: Made) => (await owner.get(`/v1/machine-locks?machineId=${machine.id}`).expect(200)).body.items as { keyCode: string; fittedAt: string; removedAt: string | null; removalReason: string | null }[];
    expect(await of(first)).toEqual(expect.arrayContaining([expect.objectContaining({ keyCode: other.code, removedAt: later.fittedAt, removalReason: 'Twelve months are over' }), expect.objectContaining({ keyCode: cash.code, fittedAt: later.fittedAt, removedAt: null, place: 'cash-door' })]));
    const refusals = [
      [{ ...many, keyCodeId: access.id }, '#/keyCodeId other-class'],
      [{ ...many, keyCodeId: randomUUID() }, '#/keyCodeId unknown'],
      [{ ...many, siteIds: [randomUUID()] }, '#/siteIds/0 unknown'],
      [{ ...many, fittedAt: '2999-01-01T00:00:00Z' }, '#/fittedAt in-future'],
    ] as const;
    for (const [body, error] of refusals) expect(errorsOf(await owner.post('/v1/machine-locks/at-sites', body).expect(422))).toEqual([error]);
    expect(errorsOf(await owner.post('/v1/machine-locks/at-sites', { ...many, siteIds: [here.id, here.id] }).expect(400))).toHaveLength(1);
  });

  it('never has both classes open one cash box, and says why', async () => {
    const [machine, access, cash] = [await placed(), await cut('access'), await cut('cash-box')];
    for (const opens of ['cash-box', 'everything']) {
      const answer = await owner.post('/v1/machine-locks', wish(machine, access.id, { opens })).expect(422);
      expect(errorsOf(answer)).toEqual(['#/keyCodeId other-class']);
      expect(answer.body.errors[0].message).toContain('must not open what reaches the money');
    }
    expect(errorsOf(await owner.post('/v1/machine-locks', wish(machine, cash.id, { opens: 'play-area' })).expect(422))).toEqual(['#/keyCodeId other-class']);
    const { id } = (await owner.post('/v1/machine-locks', wish(machine, cash.id)).expect(201)).body;
    expect(errorsOf(await owner.post(`/v1/machine-locks/${id}/change`, { keyCodeId: access.id, changedAt: '2026-03-01T09:00:00Z', reason: 'By mistake' }).expect(422))).toEqual(['#/keyCodeId other-class']);
  });

  it('is refused with the field: on a machine in the shop, in a taken place, in the future, of nothing known', async () => {
    const [machine, code] = [await placed(), await cut('cash-box')];
    const shop = await makeMachine(owner);
    expect(errorsOf(await owner.post('/v1/machine-locks', wish(shop, code.id)).expect(422))).toEqual(['#/machineId not-placed']);
    expect(errorsOf(await owner.post('/v1/machine-locks', wish(machine, code.id, { fittedAt: '2025-01-31T12:00:00Z' })).expect(422))).toEqual(['#/machineId not-placed']);
    expect(errorsOf(await owner.post('/v1/machine-locks', wish(machine, code.id, { fittedAt: '2026-04-01T12:00:01Z' })).expect(422))).toEqual(['#/fittedAt in-future']);
    const unknown = { ...wish(machine, randomUUID()), machineId: randomUUID() };
    expect(errorsOf(await owner.post('/v1/machine-locks', unknown).expect(422))).toEqual(['#/machineId unknown', '#/keyCodeId unknown']);
    const { id } = (await owner.post('/v1/machine-locks', wish(machine, code.id)).expect(201)).body;
    // Also before the one that is there: it would still be in the place when that one came.
    for (const fittedAt of ['2026-02-02T09:00:00Z', '2026-01-02T09:00:00Z']) {
      expect(errorsOf(await owner.post('/v1/machine-locks', wish(machine, code.id, { fittedAt })).expect(422))).toEqual(['#/place place-taken']);
    }
    const early = await owner.post(`/v1/machine-locks/${id}/removal`, { removedAt: AT, reason: 'Worn out' }).expect(422);
    expect(errorsOf(early)).toEqual(['#/removedAt not-after-fitting']);
    await owner.post('/v1/machine-locks', wish(machine, code.id, { place: 'front-door', opens: 'everything' })).expect(201);
  });

  it('comes with hundreds of others, all or none, each wrong one named', async () => {
    const code = await cut('cash-box');
    const machines = [await placed(), await placed(), await makeMachine(owner)];
    const locks = machines.map((machine) => wish(machine, code.id));
    const refused = await owner.post('/v1/machine-locks/batch', { locks: [...locks, locks[0]] }).expect(422);
    expect(errorsOf(refused)).toEqual(['#/locks/2/machineId not-placed', '#/locks/3/place twice']);
    expect((await owner.get(`/v1/machine-locks?keyCodeId=${code.id}`).expect(200)).body.items).toEqual([]);
    const fitted = await owner.post('/v1/machine-locks/batch', { locks: locks.slice(0, 2) }).expect(201);
    expect(fitted.body.items.map((lock: { machineId: string }) => lock.machineId)).toEqual(machines.slice(0, 2).map(({ id }) => id));
  });
});

describe('a store', () => {
  it('has one custodian at a time, of the operator’s own people', async () => {
    const { id } = (await owner.post('/v1/key-stores', { code: nextCode('SAFE'), name: 'Office safe', kind: 'safe' }).expect(201)).body;
    const appoint = (body: object) => owner.post(`/v1/key-stores/${id}/custodian`, body);
    expect(errorsOf(await appoint({ personId: barkeeper.id }).expect(422))).toEqual(['#/personId not-of-the-operator']);
    const since = '2026-01-02T08:00:00.000Z';
    expect((await appoint({ personId: collector.id, since }).expect(200)).body.custodian).toMatchObject({ personId: collector.id, since });
    const next = await makePerson(owner);
    expect(errorsOf(await appoint({ personId: next.id, since }).expect(422))).toEqual(['#/since before-predecessor']);
    expect((await appoint({ personId: next.id }).expect(200)).body.custodian).toMatchObject({ personId: next.id });
    expect(errorsOf(await appoint({ personId: collector.id, since: '2030-01-01T00:00:00Z' }).expect(422))).toEqual(['#/since in-future']);
    // Nobody from a moment on, and somebody again from that moment.
    const other = (await owner.post('/v1/key-stores', { code: nextCode('SAFE'), name: 'Van', kind: 'van' }).expect(201)).body.id as string;
    const [gone, steps] = ['2026-02-02T08:00:00.000Z', [{ personId: collector.id, since }, { personId: null, since: '2026-02-02T08:00:00.000Z' }, { personId: next.id, since: '2026-02-02T08:00:00.000Z' }]];
    for (const step of steps) await owner.post(`/v1/key-stores/${other}/custodian`, step).expect(200);
    expect((await owner.get(`/v1/key-stores/${other}`).expect(200)).body.custodian).toMatchObject({ personId: next.id, since: gone });
  });

  it('has a code of its own', async () => {
    const body = { code: nextCode('SAFE'), name: 'Van', kind: 'van' };
    await owner.post('/v1/key-stores', body).expect(201);
    expect(errorsOf(await owner.post('/v1/key-stores', body).expect(409))).toEqual(['#/code taken']);
  });
});

describe('a key place at a site', () => {
  it('has somebody responsible and a dated list of those who may use it', async () => {
    const body = { siteId: site.id, code: nextCode('HOOK'), name: 'Hook behind the bar', responsiblePersonId: barkeeper.id };
    const made = (await owner.post('/v1/key-places', body).expect(201)).body;
    expect(made).toMatchObject({ siteId: site.id, responsible: { personId: barkeeper.id }, users: [], revision: 1 });
    const [from, until] = ['2026-01-02T08:00:00.000Z', '2026-02-02T08:00:00.000Z'];
    const users = (path: string, more: object) => owner.post(`/v1/key-places/${made.id}/users${path}`, { personId: barkeeper.id, ...more });
    await users('', { from }).expect(200);
    expect(errorsOf(await users('', {}).expect(422))).toEqual(['#/from on-the-list']);
    expect(errorsOf(await users('/end', { until: from }).expect(422))).toEqual(['#/until not-after-start']);
    const ended = (await users('/end', { until }).expect(200)).body;
    expect(ended.users.map((user: { from: string; until: string }) => [Date.parse(user.from), Date.parse(user.until)])).toEqual([[Date.parse(from), Date.parse(until)]]);
    expect(errorsOf(await users('/end', {}).expect(422))).toEqual(['#/personId not-on-the-list']);
    expect(errorsOf(await owner.post('/v1/key-places', { ...body, code: nextCode('HOOK'), siteId: randomUUID() }).expect(422))).toEqual(['#/siteId unknown']);

    const left = await makePerson(owner, { employedBy: 'site', siteId: site.id, startedOn: '2026-01-01' });
    const naming = async (code: string): Promise<void> => {
      expect(errorsOf(await owner.post('/v1/key-places', { ...body, code: nextCode('HOOK'), responsiblePersonId: left.id }).expect(422))).toEqual([`#/responsiblePersonId ${code}`]);
      expect(errorsOf(await owner.patch(`/v1/key-places/${made.id}`, { responsiblePersonId: left.id }).set('If-Match', '"1"').expect(422))).toEqual([`#/responsiblePersonId ${code}`]);
      expect(errorsOf(await users('', { personId: left.id }).expect(422))).toEqual([`#/personId ${code}`]);
    };
    await owner.patch(`/v1/people/${left.id}`, { leftOn: '2026-03-30' }).set('If-Match', etag(left)).expect(200);
    await naming('not-employed');
    await owner.post(`/v1/people/${left.id}/erasure`, { confirmed: [] }).expect(201);
    await naming('erased');
  });

  it('changes who answers for it from a moment on, and not who could have opened before', async () => {
    const [books, machine, next, at] = [keyBooks(api.operator), await placed(), await makePerson(owner, { employedBy: 'site', siteId: site.id }), (day: string) => `2026-${day}T08:00:00.000Z`];
    const [door, storeId] = [await cut('access'), await books.store()];
    const made = (await owner.post('/v1/key-places', { siteId: site.id, code: nextCode('HOOK'), name: 'Hook behind the bar', responsiblePersonId: barkeeper.id }).expect(201)).body;
    await books.lock({ machineId: machine.id, cut: door, opens: 'play-area', fittedAt: at('01-02') });
    await books.happen(await books.copy({ cut: door, storeId, madeAt: at('01-02') }), { says: 'issued', at: at('01-10'), from: inStore(storeId), to: atPlace(made.id) });
    api.clock.advance({ milliseconds: 3_600_000 });
    const change = (body: object, revision = 1) => owner.patch(`/v1/key-places/${made.id}`, body).set('If-Match', `"${revision}"`);
    expect(errorsOf(await change({ responsiblePersonId: next.id, since: '2030-01-01T00:00:00Z' }).expect(422))).toEqual(['#/since in-future']);
    expect(errorsOf(await change({ since: at('03-01') }).expect(400))).toEqual(['#/since without-person']);
    expect(errorsOf(await change({ responsiblePersonId: randomUUID() }).expect(422))).toEqual(['#/responsiblePersonId unknown']);
    const changed = (await change({ responsiblePersonId: next.id, since: at('03-01') }).expect(200)).body;
    expect(changed.formerResponsible).toMatchObject([{ personId: barkeeper.id, from: null }]);
    expect([changed.responsible.personId, Date.parse(changed.responsible.since), changed.revision]).toEqual([next.id, Date.parse(at('03-01')), 2]);
    expect(errorsOf(await change({ responsiblePersonId: barkeeper.id, since: at('03-01') }, 2).expect(422))).toEqual(['#/since before-predecessor']);
    expect(errorsOf(await change({ responsiblePersonId: next.id, since: at('03-02') }, 2).expect(422))).toEqual(['#/since answers-already']);
    expect((await change({ responsiblePersonId: next.id, since: at('03-01') }, 2).expect(200)).body.responsible).toEqual(changed.responsible);

    const openers = async (query: string) => (await owner.get(`/v1/machines/${machine.id}/openers?opens=play-area&${query}`).expect(200)).body.people.map((each: { person: { personId: string } }) => each.person.personId);
    const copiesOf = async (person: Made, query: string) => (await owner.get(`/v1/people/${person.id}/keys?${query}`).expect(200)).body.copies.length;
    // Then; now; and what was believed before it was said.
    for (const [query, who] of [[`at=${at('02-15')}`, barkeeper], [`at=${at('03-02')}`, next], [`at=${at('03-02')}&knownAt=2026-03-31T12:30:00Z`, barkeeper]] as const) {
      expect({ query, openers: await openers(query), keys: [await copiesOf(barkeeper, query), await copiesOf(next, query)] }).toEqual({ query, openers: [who.id], keys: who === barkeeper ? [1, 0] : [0, 1] });
    }
    await expect(api.operator.inBooks((tx) => tx.sql(`UPDATE key_place_responsible SET person_id = $2 WHERE tenant_id = $1`, [tx.tenantId, barkeeper.id]))).rejects.toMatchObject({ constraint: 'key_place_responsible_stays_as_known' });
    await expect(api.operator.inBooks((tx) => tx.sql(`UPDATE key_place_responsible SET ended_at = now(), end_recorded_at = now() WHERE tenant_id = $1 AND ended_at IS NULL`, [tx.tenantId]))).rejects.toMatchObject({ constraint: 'key_place_answered_for' });
  });
});

describe('a ring', () => {
  it('holds copies, each on one ring at a time', async () => {
    const books = keyBooks(api.operator);
    const copy = await books.copy({ cut: await cut('cash-box'), storeId: await books.store(), madeAt: '2026-01-02T08:00:00Z' });
    const [first, second] = [(await owner.post('/v1/key-rings', { code: nextCode('RING') }).expect(201)).body, (await owner.post('/v1/key-rings', { code: nextCode('RING') }).expect(201)).body];
    const on = (await owner.post(`/v1/key-rings/${first.id}/copies`, { putOn: [copy.id] }).expect(200)).body;
    expect(on.copies).toMatchObject([{ keyCopyId: copy.id, number: copy.number }]);
    expect(errorsOf(await owner.post(`/v1/key-rings/${second.id}/copies`, { putOn: [copy.id] }).expect(422))).toEqual(['#/putOn/0 on-a-ring']);
    // The clock of these tests stands still: off and on again, at no other moment than it was put on.
    for (const { id } of [first, second, first]) {
      const [ring] = (await owner.get('/v1/key-rings').expect(200)).body.items.filter((each: { copies: { keyCopyId: string }[] }) => each.copies.some((hangs) => hangs.keyCopyId === copy.id));
      expect((await owner.post(`/v1/key-rings/${ring.id}/copies`, { takeOff: [copy.id] }).expect(200)).body.copies).toEqual([]);
      expect((await owner.post(`/v1/key-rings/${id}/copies`, { putOn: [copy.id] }).expect(200)).body.copies).toMatchObject([{ keyCopyId: copy.id }]);
    }
    expect(errorsOf(await owner.post(`/v1/key-rings/${second.id}/copies`, { takeOff: [copy.id], putOn: [randomUUID()] }).expect(422))).toEqual(['#/takeOff/0 not-on-the-ring', '#/putOn/0 unknown']);
  });
});

describe('an exception', () => {
  it('lets a cash-box key go to a site until it ends, by the owner alone', async () => {
    const books = keyBooks(api.operator);
    const [storeId, code] = [await books.store(), await cut('cash-box')];
    const issue = async () => {
      const copy = await books.copy({ cut: code, storeId, madeAt: '2026-01-02T08:00:00Z' });
      return owner.post('/v1/custody-events', { kind: 'issued', keyCopyIds: [copy.id], from: { kind: 'store', id: storeId }, to: { kind: 'person', id: barkeeper.id }, reason: 'Runs the arcade' });
    };
    expect((await issue()).status).toBe(422);
    const body = { siteId: site.id, label: 'Own arcade', reason: 'The operator runs this site', from: '2026-01-02T08:00:00Z', reviewOn: '2026-12-31' };
    expect(errorsOf(await owner.post('/v1/key-exceptions', { ...body, personId: barkeeper.id }).expect(422))).toEqual(['#/siteId site-or-person']);
    const granted = (await owner.post('/v1/key-exceptions', body).expect(201)).body;
    expect((await issue()).status).toBe(201);
    await owner.post(`/v1/key-exceptions/${granted.id}/end`, { until: '2026-03-01T08:00:00Z' }).expect(200);
    expect((await issue()).status).toBe(422);
    expect(errorsOf(await owner.post(`/v1/key-exceptions/${granted.id}/end`, {}).expect(422))).toEqual(['#/until ended-already']);
  });
});
