import type { ExposedCollection, KeyCase, KeyCaseSummary } from '#contracts/key-case';
import type { Collection } from '#contracts/collection';
import { attempt } from '#database/constraint';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { bindToPerson, heldBy, inStore, keyBooks, type KeyCopyOfTest } from '#tests/support/keys';
import { errorsOf, makePerson, makeRunningSite, nextCode } from '#tests/support/set-up';

type Running = Awaited<ReturnType<typeof makeRunningSite>>;
let api: TestApi;
let owner: TestClient;
let custodian: TestClient;
let keys: ReturnType<typeof keyBooks>;
let rich: Running;
let poor: Running;
let safe: string;
let orla: string;
let pim: string;

const unknown = '0195e000-0000-7000-8000-00000000e15e';
const fittedAt = '2026-01-02T08:00:00Z';
const reportedAt = '2026-03-30T12:00:00Z';

beforeAll(async () => {
  api = await startTestApi();
  [owner, custodian] = [api.operator.as('owner'), api.operator.as('custodian')];
  keys = keyBooks(api.operator);
  [rich, poor] = [await makeRunningSite(owner), await makeRunningSite(owner)];
  safe = await keys.store();
  [orla, pim] = [(await makePerson(owner, { name: 'Orla Venn' })).id, (await makePerson(owner, { name: 'Pim Aske' })).id];
  for (const [running, coin] of [[rich, '900.00'], [poor, '30.00']] as const) {
    await makeAcceptedCollection(owner, running.site, [count(running.machine, coin, '0.00')], { happenedAt: moment('2026-03-10') });
  }
});
afterAll(() => api?.close());

/** A cut on both machines; Orla lost the first copy, Pim has the second, the third lies in the safe. */
async function lostKey(input: { cut?: 'access' | 'cash-box'; report?: boolean } = {}) {
  const cut = await keys.cut({ class: input.cut ?? 'cash-box' });
  const opens = cut.class === 'access' ? 'play-area' : 'cash-box';
  const place = nextCode('p').toLowerCase();
  const locks = [];
  for (const running of [rich, poor]) locks.push(await keys.lock({ machineId: running.machine.id, cut, opens, place, fittedAt }));
  const copies: KeyCopyOfTest[] = [];
  for (const holder of [orla, pim, null]) {
    const copy = await keys.copy({ cut, storeId: safe, madeAt: fittedAt });
    if (holder !== null) await keys.happen(copy, { says: 'issued', at: '2026-03-02T08:00:00Z', from: inStore(safe), to: heldBy(holder) });
    copies.push(copy);
  }
  const [lost, other, spare] = copies;
  if (lost === undefined || other === undefined || spare === undefined) throw new Error('no copies');
  const eventId = input.report === false ? '' : await report(lost.id);
  return { cut, locks, lost, other, spare, eventId };
}

async function report(copy: string, more: object = {}, client = custodian): Promise<string> {
  const event = await client.post('/v1/custody-events', { kind: 'reported-missing', keyCopyIds: [copy], happenedAt: reportedAt, reason: 'Not in the bag any more', ...more });
  if (event.status !== 201) throw new Error(JSON.stringify(event.body));
  return (event.body as { id: string }).id;
}
const casesOf = async (keyCodeId: string): Promise<KeyCaseSummary[]> => ((await owner.get(`/v1/key-cases?keyCodeId=${keyCodeId}`).expect(200)).body as { items: KeyCaseSummary[] }).items;
const read = async (id: string): Promise<KeyCase> => (await owner.get(`/v1/key-cases/${id}`).expect(200)).body as KeyCase;
async function caseOf(keyCodeId: string): Promise<KeyCase> {
  const [summary] = await casesOf(keyCodeId);
  return read(summary?.id ?? '');
}
const step = (id: string, body: object) => custodian.post(`/v1/key-cases/${id}/steps`, { note: 'Done on the spot', ...body });
async function taken(id: string, body: object): Promise<KeyCase> {
  const answer = await step(id, body);
  if (answer.status !== 200) throw new Error(JSON.stringify(answer.body));
  return answer.body as KeyCase;
}
const refusal = async (id: string, body: object): Promise<string[]> => errorsOf(await step(id, body).expect(422));
const close = (id: string) => custodian.post(`/v1/key-cases/${id}/close`, { reason: 'All locks are changed' });
const end = (id: string, client = owner) => client.post(`/v1/key-cases/${id}/end`, { reason: 'It lay in the van all the time' });
const newCut = (kind: 'access' | 'cash-box' = 'cash-box') => keys.cut({ class: kind });

describe('a report of a missing key', () => {
  test('opens a case with its reach, a deadline for each lock, the richest first, and copies to give and to call in', async () => {
    const { cut, locks, lost, other, spare, eventId } = await lostKey();
    const found = await caseOf(cut.id);
    expect(found).toMatchObject({
      cause: 'lost', state: 'open', happenedAt: '2026-03-30T12:00:00.000Z', surelyHeldUntil: '2026-03-02T08:00:00.000Z', newCode: null, closed: null,
      keyCode: { keyCodeId: cut.id, class: 'cash-box' },
      lostCopies: [{ keyCopyId: lost.id, number: lost.number, eventId, found: false }],
      // K.A.R. 112-104-34(b): within 24 hours.
      progress: { locks: 2, changed: 0, secured: 0, overdue: 0, nextDueAt: '2026-03-31T12:00:00.000Z' },
    });
    expect(found.locks.map(({ lockId, siteId, dueAt, state, overdue }) => [lockId, siteId, dueAt, state, overdue])).toEqual([
      [locks[0], rich.site.id, '2026-03-31T12:00:00.000Z', 'open', false],
      [locks[1], poor.site.id, '2026-03-31T12:00:00.000Z', 'open', false],
    ]);
    // 900.00 from 1 January 2025 to 10 March 2026, 433 days. Twenty days later, when the key was missed: 930 * 20 / 433 = 42.96; now, one
    // day after that: 900 * 21 / 433 = 43.65.
    expect(found.reach.cash).toEqual([usd('42.96')]);
    expect(found.locks[0]?.cash).toEqual(usd('43.65'));
    expect(found.reach.copies.map(({ number, where }) => [number, where.state])).toEqual([[lost.number, 'missing'], [other.number, 'held'], [spare.number, 'held']].sort());
    expect(found.copiesToGive.map(({ holder, given }) => [holder.id, given]).sort()).toEqual([[orla, null], [pim, null]].sort());
    expect(found.copiesToCallIn.map(({ number, calledIn }) => [number, calledIn])).toEqual([[other.number, false], [spare.number, true]].sort());
  });

  test('joins the case that is open, which then begins with the key that was lost first', async () => {
    const { cut, lost, other, spare } = await lostKey();
    await report(spare.id, { happenedAt: '2026-03-30T13:00:00Z' });
    const cases = await casesOf(cut.id);
    expect(cases.map(({ lostCopies }) => lostCopies.map(({ number }) => number))).toEqual([[lost.number, spare.number]]);
    // Nobody has seen the spare one since it was made.
    expect(cases[0]).toMatchObject({ happenedAt: '2026-03-30T12:00:00.000Z', surelyHeldUntil: '2026-01-02T08:00:00.000Z' });
    expect((await read(cases[0]?.id ?? '')).copiesToCallIn).toHaveLength(1);
    // Told last, lost first: whoever has that one could open each lock from then on.
    await report(other.id, { happenedAt: '2026-03-29T12:00:00Z' });
    expect(await casesOf(cut.id)).toMatchObject([{ id: cases[0]?.id, happenedAt: '2026-03-29T12:00:00.000Z', surelyHeldUntil: '2026-01-02T08:00:00.000Z', progress: { nextDueAt: '2026-03-30T12:00:00.000Z' } }]);
  });

  test('comes from whoever misses the key, and from a correction that says so', async () => {
    const mine = await lostKey({ report: false });
    const member = await api.operator.newMember('collector');
    const marla = (await makePerson(owner, { name: 'Marla Quist' })).id;
    await bindToPerson(owner, { accountId: member.id, role: 'collector', personId: marla });
    await custodian.post('/v1/custody-events', { kind: 'issued', keyCopyIds: [mine.spare.id], from: inStore(safe), to: heldBy(marla), happenedAt: '2026-03-20T08:00:00Z', reason: 'Route of the week' }).expect(201);
    await report(mine.spare.id, {}, member);
    expect(await casesOf(mine.cut.id)).toMatchObject([{ surelyHeldUntil: '2026-03-20T08:00:00.000Z', openedBy: `user:${member.id}` }]);
    const said = await lostKey({ report: false });
    const issued = (await custodian.post('/v1/custody-events', { kind: 'issued', keyCopyIds: [said.spare.id], from: inStore(safe), to: heldBy(marla), happenedAt: '2026-03-20T08:00:00Z', reason: 'Route of the week' }).expect(201)).body as { id: string };
    await report(said.spare.id, { kind: 'corrected', correctsId: issued.id, says: 'reported-missing', happenedAt: undefined, keyCopyIds: undefined }, owner);
    expect(await casesOf(said.cut.id)).toMatchObject([{ happenedAt: '2026-03-20T08:00:00.000Z', surelyHeldUntil: '2026-01-02T08:00:00.000Z' }]);
  });

  test('an access key has two weeks for its locks, and exposes no collection', async () => {
    const { cut } = await lostKey({ cut: 'access' });
    const found = await caseOf(cut.id);
    expect(found.locks.map(({ dueAt, cash }) => [dueAt, cash])).toEqual([['2026-04-13T12:00:00.000Z', null], ['2026-04-13T12:00:00.000Z', null]]);
    expect((await owner.get(`/v1/exposed-collections?keyCaseId=${found.id}`).expect(200)).body).toEqual({ items: [], next: null });
  });
});

describe('a cut that others may have', () => {
  const open = (body: object) => custodian.post('/v1/key-cases', { surelyHeldUntil: '2026-03-01T08:00:00Z', reason: 'A dealer sold copies', ...body });

  test('gets a case by hand, which the owner may end', async () => {
    const { cut } = await lostKey({ report: false });
    const made = (await open({ keyCodeId: cut.id }).expect(201)).body as KeyCase;
    expect(made).toMatchObject({ cause: 'compromised', state: 'open', lostCopies: [], happenedAt: '2026-03-31T12:00:00.000Z', progress: { locks: 2, nextDueAt: '2026-04-01T12:00:00.000Z' } });
    expect(made.copiesToCallIn).toHaveLength(3);
    await end(made.id).expect(200);
    expect(await casesOf(cut.id)).toMatchObject([{ state: 'ended', closed: { reason: 'It lay in the van all the time' } }]);
  });

  test('is refused by field', async () => {
    const { cut } = await lostKey();
    const other = await newCut();
    const wrong = async (body: object): Promise<string[]> => errorsOf(await open({ keyCodeId: other.id, ...body }).expect(422));
    expect(await wrong({ keyCodeId: unknown })).toEqual(['#/keyCodeId unknown']);
    expect(await wrong({ keyCodeId: cut.id })).toEqual(['#/keyCodeId case-open']);
    expect(await wrong({ happenedAt: '2026-04-01T08:00:00Z' })).toEqual(['#/happenedAt in-the-future']);
    expect(await wrong({ surelyHeldUntil: '2026-03-31T13:00:00Z' })).toEqual(['#/surelyHeldUntil after-happened']);
    const made = (await open({ keyCodeId: other.id }).expect(201)).body as KeyCase;
    expect(errorsOf(await open({ id: made.id, keyCodeId: (await newCut()).id }).expect(409))).toEqual(['#/id taken']);
  });
});

describe('the plan', () => {
  test('is worked off step by step, and the case is closed when no lock takes the old key', async () => {
    const { cut, locks: [first = '', second = ''], other } = await lostKey();
    const { id } = await caseOf(cut.id);
    const next = await newCut();
    expect((await taken(id, { kind: 'new-code', keyCodeId: next.id })).newCode).toEqual({ keyCodeId: next.id, code: next.code });
    const emptied = await taken(id, { kind: 'box-emptied', lockId: first, happenedAt: '2026-03-30T18:00:00Z' });
    expect(emptied.locks.find(({ lockId }) => lockId === first)).toMatchObject({ state: 'secured', dueAt: '2026-04-02T18:00:00.000Z' });
    expect(emptied.progress).toMatchObject({ secured: 1, nextDueAt: '2026-03-31T12:00:00.000Z' });
    const changed = await taken(id, { kind: 'lock-changed', lockId: first, happenedAt: '2026-03-31T08:00:00Z' });
    expect(changed.locks.at(-1)).toMatchObject({ lockId: first, state: 'changed', overdue: false, changedAt: '2026-03-31T08:00:00.000Z', changedBy: `user:${custodian.id}` });
    expect((await owner.get(`/v1/key-codes/${next.id}/reach`).expect(200)).body).toMatchObject({ machines: [{ machineId: rich.machine.id, locks: [{ fittedAt: '2026-03-31T08:00:00.000Z' }] }] });

    const refused = await close(id).expect(409);
    expect(refused.body).toMatchObject({ code: 'locks-not-changed', detail: expect.stringContaining(`${String(poor.machine['tag'])} (`) });
    expect((refused.body as { detail: string }).detail).not.toContain(`${String(rich.machine['tag'])} (`);

    expect(await taken(id, { kind: 'lock-removed', lockId: second })).toMatchObject({ state: 'locks-changed', progress: { locks: 2, changed: 2, overdue: 0, nextDueAt: null } });
    const copy = await keys.copy({ cut: next, storeId: safe, madeAt: '2026-03-31T08:00:00Z' });
    expect(await refusal(id, { kind: 'copy-given', keyCopyId: copy.id })).toEqual(['#/keyCopyId not-given']);
    await keys.happen(copy, { says: 'issued', at: '2026-03-31T09:00:00Z', from: inStore(safe), to: heldBy(pim) });
    expect((await taken(id, { kind: 'copy-given', keyCopyId: copy.id })).copiesToGive.find(({ holder }) => holder.id === pim)?.given).toEqual({ keyCopyId: copy.id, number: copy.number });
    expect(await refusal(id, { kind: 'copy-called-in', keyCopyId: other.id })).toEqual(['#/keyCopyId not-called-in']);
    const out = await close(id).expect(409);
    expect(out.body).toMatchObject({ code: 'copies-not-called-in', detail: `Still out, and nobody said why: ${other.number}.` });
    await custodian.post('/v1/custody-events', { kind: 'destroyed', keyCopyIds: [other.id], reason: 'Called in and cut up' }).expect(201);
    const calledIn = await taken(id, { kind: 'copy-called-in', keyCopyId: other.id });
    expect(calledIn.copiesToCallIn.every((each) => each.calledIn)).toBe(true);
    expect(calledIn.steps.map(({ kind }) => kind)).toEqual(['new-code', 'box-emptied', 'lock-changed', 'lock-removed', 'copy-given', 'copy-called-in']);

    expect((await close(id).expect(200)).body).toMatchObject({ state: 'closed', closed: { by: `user:${custodian.id}`, reason: 'All locks are changed' } });
    expect((await close(id).expect(409)).body).toMatchObject({ code: 'wrong-state' });
    expect((await step(id, { kind: 'new-code', keyCodeId: next.id }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
  });

  test('an old copy may stay out where somebody says why', async () => {
    const { cut, locks, other, spare } = await lostKey();
    const { id } = await caseOf(cut.id);
    for (const lockId of locks) await taken(id, { kind: 'lock-removed', lockId });
    expect((await close(id).expect(409)).body).toMatchObject({ code: 'copies-not-called-in' });
    // Nothing lies open to the lost key any more.
    expect((await read(id)).locks.map(({ state, cash }) => [state, cash])).toEqual([['changed', null], ['changed', null]]);
    expect(await refusal(id, { kind: 'copy-left-out', keyCopyId: spare.id })).toEqual(['#/keyCopyId called-in']);
    const told = await taken(id, { kind: 'copy-left-out', keyCopyId: other.id, note: 'Pim keeps it for the old safe at home' });
    expect(told.steps.at(-1)).toMatchObject({ kind: 'copy-left-out', keyCopyId: other.id });
    expect(await refusal(id, { kind: 'copy-left-out', keyCopyId: other.id })).toEqual(['#/keyCopyId confirmed-already']);
    await close(id).expect(200);
  });

  test('closing meets somebody who fits the old key at that moment: one wins, and no closed case has a lock open', async () => {
    for (let round = 0; round < 4; round += 1) {
      const { cut, locks, other } = await lostKey();
      const { id } = await caseOf(cut.id);
      for (const lockId of locks) await taken(id, { kind: 'lock-removed', lockId });
      await taken(id, { kind: 'copy-left-out', keyCopyId: other.id });
      const wish = { machineId: rich.machine.id, place: nextCode('r').toLowerCase(), opens: 'cash-box', keyCodeId: cut.id };
      const [closed, fitted] = await Promise.all([close(id), owner.post('/v1/machine-locks', wish)]);
      expect([[closed.status, fitted.status]]).toEqual([closed.status === 200 ? [200, 422] : [409, 201]]);
      expect((await read(id)).state).toBe(closed.status === 200 ? 'closed' : 'open');
    }
  });

  test('a step that nothing bears out is refused by field', async () => {
    const { cut, locks: [lock = ''], lost, spare } = await lostKey();
    const { id } = await caseOf(cut.id);
    const [next, access, lostAsWell] = [await newCut(), await newCut('access'), (await lostKey()).cut];
    const elsewhere = await keys.lock({ machineId: rich.machine.id, cut: next, opens: 'cash-box', place: nextCode('q').toLowerCase(), fittedAt });
    expect(await refusal(id, { kind: 'lock-changed', lockId: lock })).toEqual(['#/kind new-code-missing']);
    expect(await refusal(id, { kind: 'new-code' })).toEqual(['#/keyCodeId missing']);
    expect(await refusal(id, { kind: 'box-emptied', lockId: lock, keyCopyId: lost.id })).toEqual(['#/keyCopyId not-of-this-kind']);
    expect(await refusal(id, { kind: 'new-code', keyCodeId: unknown })).toEqual(['#/keyCodeId unknown']);
    expect(await refusal(id, { kind: 'new-code', keyCodeId: cut.id })).toEqual(['#/keyCodeId same-code']);
    expect(await refusal(id, { kind: 'new-code', keyCodeId: access.id })).toEqual(['#/keyCodeId other-class']);
    expect(await refusal(id, { kind: 'new-code', keyCodeId: lostAsWell.id })).toEqual(['#/keyCodeId lost-as-well']);
    await taken(id, { kind: 'new-code', keyCodeId: next.id });
    expect(await refusal(id, { kind: 'lock-changed', lockId: elsewhere })).toEqual(['#/lockId unknown']);
    expect(await refusal(id, { kind: 'lock-changed', lockId: lock, happenedAt: '2026-03-31T13:00:00Z' })).toEqual(['#/happenedAt in-the-future']);
    expect(await refusal(id, { kind: 'lock-changed', lockId: lock, happenedAt: '2026-03-30T11:00:00Z' })).toEqual(['#/happenedAt before-the-case']);
    const late = await keys.lock({ machineId: poor.machine.id, cut, opens: 'cash-box', place: nextCode('q').toLowerCase(), fittedAt: '2026-03-31T09:00:00Z' });
    expect(await refusal(id, { kind: 'lock-changed', lockId: late, happenedAt: '2026-03-31T09:00:00Z' })).toEqual(['#/happenedAt before-fitted']);
    await taken(id, { kind: 'lock-changed', lockId: lock });
    expect(await refusal(id, { kind: 'lock-changed', lockId: lock })).toEqual(['#/lockId changed-already']);
    expect(await refusal(id, { kind: 'copy-given', keyCopyId: spare.id })).toEqual(['#/keyCopyId unknown']);
    expect(await refusal(id, { kind: 'copy-called-in', keyCopyId: lost.id })).toEqual(['#/keyCopyId not-called-in']);
    await taken(id, { kind: 'copy-called-in', keyCopyId: spare.id });
    expect(await refusal(id, { kind: 'copy-called-in', keyCopyId: spare.id })).toEqual(['#/keyCopyId confirmed-already']);
    const onAccess = await lostKey({ cut: 'access' });
    expect(await refusal((await caseOf(onAccess.cut.id)).id, { kind: 'second-lock', lockId: onAccess.locks[0] })).toEqual(['#/lockId not-a-cash-box']);
    await step(unknown, { kind: 'new-code', keyCodeId: next.id }).expect(404);
    await close(unknown).expect(404);
    await owner.get(`/v1/key-cases/${unknown}`).expect(404);
  });

  test('a deadline that passes makes a lock overdue', async () => {
    const { cut } = await lostKey({ report: false });
    const body = { keyCodeId: cut.id, happenedAt: '2026-03-30T11:59:59Z', surelyHeldUntil: '2026-03-30T08:00:00Z', reason: 'A dealer sold copies' };
    expect((await custodian.post('/v1/key-cases', body).expect(201)).body).toMatchObject({ progress: { overdue: 2, nextDueAt: '2026-03-31T11:59:59.000Z' } });
  });
});

describe('a key that turns up again', () => {
  test('leaves the case open until the owner ends it with a reason', async () => {
    const { cut, lost, locks: [lock = ''] } = await lostKey();
    const { id } = await caseOf(cut.id);
    expect((await end(id).expect(409)).body).toMatchObject({ code: 'wrong-state', detail: expect.stringContaining(lost.number) });
    await custodian.post('/v1/custody-events', { kind: 'found', keyCopyIds: [lost.id], to: inStore(safe), happenedAt: '2026-03-31T08:00:00Z', reason: 'Under the seat' }).expect(201);
    expect(await read(id)).toMatchObject({ state: 'open', lostCopies: [{ found: true }], progress: { locks: 2, changed: 0 } });
    expect((await end(id, custodian).expect(403)).body).toMatchObject({ code: 'not-allowed' });
    expect((await end(id).expect(200)).body).toMatchObject({ state: 'ended', closed: { reason: 'It lay in the van all the time' } });
    expect((await step(id, { kind: 'box-emptied', lockId: lock }).expect(409)).body).toMatchObject({ code: 'wrong-state' });
    // Lost once more, it is a new case.
    await report(lost.id, { happenedAt: '2026-03-31T11:00:00Z' });
    expect((await casesOf(cut.id)).map(({ state }) => state)).toEqual(['open', 'ended']);
  });
});

describe('collections', () => {
  test('of bags that wait for the counting room are exposed like those that were counted on the spot', async () => {
    const running = await makeRunningSite(owner);
    const cut = await keys.cut({ class: 'cash-box' });
    await keys.lock({ machineId: running.machine.id, cut, opens: 'everything', fittedAt });
    const copy = await keys.copy({ cut, storeId: safe, madeAt: fittedAt });
    const { id: collectionId } = (await owner.post('/v1/collections', { siteId: running.site.id, happenedAt: '2026-03-09T09:00:00Z' }).expect(201)).body as { id: string };
    await owner.post(`/v1/collections/${collectionId}/bags`, { bags: [{ number: 'B-61', seal: nextCode('S') }] }).expect(201);
    await report(copy.id, { happenedAt: '2026-03-15T12:00:00Z' });
    const { id } = await caseOf(cut.id);
    const { items } = (await owner.get(`/v1/exposed-collections?keyCaseId=${id}`).expect(200)).body as { items: ExposedCollection[] };
    expect(items.map((item) => [item.collectionId, item.machines.map(({ machineId, when }) => [machineId, when])])).toEqual([[collectionId, [[running.machine.id, 'exposed']]]]);
    expect(((await owner.get(`/v1/collections/${collectionId}`).expect(200)).body as Collection).exposedByCaseIds).toEqual([id]);
  });

  test('between the last sure moment and the change of the lock are exposed, and the first one after it', async () => {
    const running = await makeRunningSite(owner);
    const cut = await keys.cut({ class: 'cash-box' });
    const lock = await keys.lock({ machineId: running.machine.id, cut, opens: 'everything', fittedAt });
    const copy = await keys.copy({ cut, storeId: safe, madeAt: fittedAt });
    await keys.happen(copy, { says: 'issued', at: '2026-03-02T08:00:00Z', from: inStore(safe), to: heldBy(orla) });
    const collect = (day: string) => makeAcceptedCollection(owner, running.site, [count(running.machine)], { happenedAt: `${day}T09:00:00Z` });
    const [before, during, after, later] = [await collect('2026-03-01'), await collect('2026-03-09'), await collect('2026-03-21'), await collect('2026-03-25')];
    await report(copy.id, { happenedAt: '2026-03-15T12:00:00Z' });
    const { id } = await caseOf(cut.id);
    const list = async (query = ''): Promise<ExposedCollection[]> => ((await owner.get(`/v1/exposed-collections?keyCaseId=${id}${query}`).expect(200)).body as { items: ExposedCollection[] }).items;
    expect((await list()).map(({ collectionId }) => collectionId)).toEqual([later.id, after.id, during.id]);
    await taken(id, { kind: 'new-code', keyCodeId: (await newCut()).id });
    await taken(id, { kind: 'lock-changed', lockId: lock, happenedAt: '2026-03-16T08:00:00Z' });
    const exposed = await list();
    expect(exposed.map(({ collectionId, siteId, machines }) => [collectionId, siteId, machines])).toEqual([
      [after.id, running.site.id, [{ machineId: running.machine.id, machineTag: running.machine['tag'], when: 'first-after' }]],
      [during.id, running.site.id, [{ machineId: running.machine.id, machineTag: running.machine['tag'], when: 'exposed' }]],
    ]);
    expect(await list(`&siteId=${rich.site.id}`)).toEqual([]);
    const first = (await owner.get(`/v1/exposed-collections?keyCaseId=${id}&limit=1`).expect(200)).body as { next: string };
    expect((await list(`&limit=1&cursor=${first.next}`)).map(({ collectionId }) => collectionId)).toEqual([during.id]);
    const flag = async (collection: string, client = owner): Promise<string[]> => ((await client.get(`/v1/collections/${collection}`).expect(200)).body as Collection).exposedByCaseIds;
    expect([await flag(before.id), await flag(during.id), await flag(after.id), await flag(later.id)]).toEqual([[], [id], [id], []]);
    expect(await flag(during.id, api.operator.as('collector'))).toEqual([]);
  });
});

describe('the database itself', () => {
  const tryTo = (text: string, values: readonly unknown[]) =>
    api.operator.inBooks(async (tx) => {
      const tried = await attempt(tx, () => tx.sql(text.replaceAll('TENANT', `'${tx.tenantId}'`), values));
      return tried.ok ? 'taken' : tried.violation.constraint;
    });
  const closing = `UPDATE key_case SET state = 'closed', closed_at = '2026-03-31T12:00:00Z', closed_by = 'system:test', closing_reason = 'Done' WHERE tenant_id = TENANT AND id = $1`;

  test('keeps a case open while one lock takes the cut, keeps it as it was closed, and fits the cut to nothing afterwards', async () => {
    const { cut, locks } = await lostKey();
    const { id } = await caseOf(cut.id);
    await taken(id, { kind: 'lock-removed', lockId: locks[0] });
    expect(await tryTo(closing, [id])).toBe('key_case_no_lock_takes_the_cut');
    await taken(id, { kind: 'lock-removed', lockId: locks[1] });
    expect(await tryTo(`UPDATE key_case SET reason = 'Another one' WHERE tenant_id = TENANT AND id = $1`, [id])).toBe('key_case_stays');
    expect(await tryTo(`UPDATE key_case SET surely_held_until = happened_at WHERE tenant_id = TENANT AND id = $1`, [id])).toBe('key_case_stays');
    expect(await tryTo(closing, [id])).toBe('taken');
    expect(await tryTo(`UPDATE key_case SET state = 'open', closed_at = NULL, closed_by = NULL, closing_reason = NULL WHERE tenant_id = TENANT AND id = $1`, [id])).toBe('key_case_stays');
    const fit = `INSERT INTO machine_lock (tenant_id, id, machine_id, place, opens, class, key_code_id, fitted_at, recorded_at, recorded_by)
                 VALUES (TENANT, uuidv7(), $1, 'back', 'cash-box', 'cash-box', $2, '2026-03-31T12:00:00Z', '2026-03-31T12:00:00Z', 'system:test')`;
    expect(await tryTo(fit, [rich.machine.id, cut.id])).toBe('machine_lock_not_of_a_lost_cut');
    const wish = { machineId: rich.machine.id, place: 'back', opens: 'cash-box', keyCodeId: cut.id };
    expect(errorsOf(await custodian.post('/v1/machine-locks', wish).expect(422))).toEqual(['#/keyCodeId lost-cut']);
    expect(await tryTo(`UPDATE machine_lock SET removed_at = NULL, removal_recorded_at = NULL, removal_recorded_by = NULL, removal_reason = NULL WHERE tenant_id = TENANT AND id = $1`, [locks[0]])).toBe('machine_lock_not_of_a_lost_cut');
  });

  test('does not end a case while a key is missing, and has one open case of a cut', async () => {
    const { cut } = await lostKey();
    const { id } = await caseOf(cut.id);
    expect(await tryTo(closing.replace(`'closed'`, `'ended'`), [id])).toBe('key_case_ended_with_every_key_found');
    const again = `INSERT INTO key_case (tenant_id, id, key_code_id, class, cause, happened_at, surely_held_until, opened_at, opened_by, reason)
                   VALUES (TENANT, uuidv7(), $1, 'cash-box', 'lost', '2026-03-31', '2026-03-31', '2026-03-31', 'system:test', 'Twice')`;
    expect(await tryTo(again, [cut.id])).toBe('key_case_one_open');
  });
});

test('the word for a copy left out is over once its holder gives it away, and none is given for a missing one', async () => {
  const { cut, locks, lost, other } = await lostKey();
  const { id } = await caseOf(cut.id);
  for (const lockId of locks) await taken(id, { kind: 'lock-removed', lockId });
  expect(await refusal(id, { kind: 'copy-left-out', keyCopyId: lost.id })).toEqual(['#/keyCopyId missing']);
  const leave = { kind: 'copy-left-out', keyCopyId: other.id };
  const leftOut = (told: KeyCase): boolean | undefined => told.copiesToCallIn.find(({ keyCopyId }) => keyCopyId === other.id)?.leftOut;
  expect(leftOut(await taken(id, leave))).toBe(true);
  // Back in the safe and out again to Pim: nobody said why it is out this time.
  const at = (minutes: number): string => new Date(api.clock.now().getTime() + minutes * 60_000).toISOString();
  const [returnedAt, issuedAt] = [at(1), at(2)];
  api.clock.advance({ milliseconds: 180_000 });
  await keys.happen(other, { says: 'returned', at: returnedAt, from: heldBy(pim), to: inStore(safe) });
  await keys.happen(other, { says: 'issued', at: issuedAt, from: inStore(safe), to: heldBy(pim) });
  expect(leftOut(await read(id))).toBe(false);
  expect((await close(id).expect(409)).body).toMatchObject({ code: 'copies-not-called-in', detail: `Still out, and nobody said why: ${other.number}.` });
  expect(leftOut(await taken(id, leave))).toBe(true);
  expect(await refusal(id, leave)).toEqual(['#/keyCopyId confirmed-already']);
  await close(id).expect(200);
});
