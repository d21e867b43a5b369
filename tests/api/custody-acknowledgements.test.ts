import type { CustodyEvent, MadeKeyCopies } from '#contracts/custody';
import type { CustodyLink, CustodyToConfirm } from '#contracts/custody-acknowledgement';
import type { KeyAttention } from '#contracts/key-question';
import { leafHash } from '#domain/evidence/merkle';
import { verifyInclusion } from '#domain/evidence/proof';
import { sha256 } from '#backoffice/evidence/append';
import type { EvidenceLeaf, Inclusion } from '#contracts/evidence';
import { onConnection } from '#tests/support/connection';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { brokenInvariants } from '#tests/support/invariants';
import { bindToPerson, keyBooks } from '#tests/support/keys';
import { errorsOf, etag, makePerson, makeSite, nextCode, type Made } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let custodian: TestClient;
let collector: TestClient;
let safe: string;
let custodianPerson: string;
let orla: string;
let barkeeper: Made;
let keys: ReturnType<typeof keyBooks>;
let codes: { access: string; 'cash-box': string };

const HOUR = 3_600_000;
beforeAll(async () => {
  api = await startTestApi();
  owner = api.operator.as('owner');
  custodian = api.operator.as('custodian');
  collector = await api.operator.newMember('collector');
  const books = (keys = keyBooks(api.operator));
  codes = { access: (await books.cut({ class: 'access' })).id, 'cash-box': (await books.cut({ class: 'cash-box' })).id };
  safe = await books.store();
  custodianPerson = (await makePerson(owner, { name: 'Cato Dunn' })).id;
  orla = (await makePerson(owner, { name: 'Orla Venn' })).id;
  barkeeper = await makePerson(owner, { name: 'Bar Keeper', email: 'bar@site.example', employedBy: 'site', siteId: (await makeSite(owner)).id });
  await books.custodian({ storeId: safe, personId: custodianPerson, from: '2026-01-01T00:00:00Z' });
  await bindToPerson(owner, { accountId: custodian.id, role: 'custodian', personId: custodianPerson });
  await bindToPerson(owner, { accountId: collector.id, role: 'collector', personId: orla });
});
afterAll(async () => {
  expect(await onConnection(api.db.urls.superuser, brokenInvariants)).toEqual([]);
  await api.close();
});

async function issued(to: string, by = custodian, keyClass: keyof typeof codes = 'access'): Promise<CustodyEvent> {
  api.clock.advance({ milliseconds: 1000 });
  const made = (await custodian.post('/v1/key-copies', { keyCodeId: codes[keyClass], numbers: [nextCode('K')], storeId: safe, reason: 'Came with the lock' }).expect(201)).body as MadeKeyCopies;
  api.clock.advance({ milliseconds: 1000 });
  const body = { kind: 'issued', keyCopyIds: made.items.map(({ id }) => id), from: { kind: 'store', id: safe }, to: { kind: 'person', id: to }, reason: 'Route of the week' };
  return (await by.post('/v1/custody-events', body).expect(201)).body as CustodyEvent;
}
const sides = (event: CustodyEvent): string[] => event.acknowledgements.map(({ side, how, person }) => `${side} ${how} ${person.name}`);
const acknowledge = (event: CustodyEvent, client: TestClient, side = 'receiver') => client.post(`/v1/custody-events/${event.id}/acknowledgements`, { side });
const code = (answer: { body: unknown }): string => (answer.body as { code: string }).code;
const openReceivers = async (): Promise<string[]> =>
  ((await custodian.get('/v1/key-attention').expect(200)).body as { unacknowledged: { eventId: string }[] }).unacknowledged.map(({ eventId }) => eventId);

describe('by their own sign-in', () => {
  test('the custodian confirms for the store by recording, the receiver afterwards; until then it is listed as open', async () => {
    const event = await issued(orla);
    expect(sides(event)).toEqual(['giver recorded Cato Dunn']);
    expect(await openReceivers()).toContain(event.id);
    const confirmed = (await acknowledge(event, collector).expect(201)).body as CustodyEvent;
    expect(sides(confirmed)).toEqual(['giver recorded Cato Dunn', 'receiver signed-in Orla Venn']);
    expect(await openReceivers()).not.toContain(event.id);
    expect(code(await acknowledge(event, collector).expect(409))).toBe('confirmed-already');
  });

  test('nobody else does, and nobody confirms what has no two sides or was corrected', async () => {
    const event = await issued(orla);
    expect(code(await acknowledge(event, custodian).expect(409))).toBe('wrong-person');
    expect(code(await acknowledge(event, owner).expect(409))).toBe('wrong-person');
    api.clock.advance({ milliseconds: 1000 });
    const missing = (await custodian.post('/v1/custody-events', { kind: 'reported-missing', keyCopyIds: [event.copies[0]?.keyCopyId], reason: 'Gone' }).expect(201)).body as CustodyEvent;
    expect(code(await acknowledge(missing, collector).expect(409))).toBe('wrong-state');
    const wrong = await issued(orla);
    await owner.post('/v1/custody-events', { kind: 'corrected', correctsId: wrong.id, says: null, reason: 'Nobody got it' }).expect(201);
    expect(code(await acknowledge(wrong, collector).expect(409))).toBe('wrong-state');
    await collector.post('/v1/custody-events/0195e000-0000-7000-8000-00000000e15e/acknowledgements', { side: 'receiver' }).expect(404);
  });

  test('what waits for somebody is listed for them alone, until they confirm or it is corrected', async () => {
    const waiting = async (client: TestClient) => ((await client.get('/v1/own-keys/to-confirm').expect(200)).body as CustodyToConfirm).items;
    const event = await issued(orla);
    const [item] = (await waiting(collector)).filter(({ eventId }) => eventId === event.id);
    expect(item).toEqual({
      eventId: event.id, side: 'receiver', says: 'issued', happenedAt: event.happenedAt, acknowledgeBy: event.acknowledgeBy, late: false, deniedAt: null, deniedHow: null, dueBackAt: null,
      from: event.from, to: event.to, copies: [{ number: event.copies[0]?.number, class: 'access' }],
    });
    expect((await waiting(custodian)).filter(({ eventId }) => eventId === event.id)).toEqual([]);
    // Recorded by the owner, it waits for the custodian, who answers for the store, as well.
    const other = await issued(orla, owner);
    expect((await waiting(custodian)).filter(({ eventId }) => eventId === other.id)).toMatchObject([{ side: 'giver' }]);
    await custodian.post('/v1/custody-events', { kind: 'corrected', correctsId: other.id, says: null, reason: 'Nobody got it' }).expect(201);
    await acknowledge(event, collector).expect(201);
    const left = [...(await waiting(collector)), ...(await waiting(custodian))].map(({ eventId }) => eventId);
    expect(left).not.toContain(event.id);
    expect(left).not.toContain(other.id);
    expect(await waiting(owner)).toEqual([]);
  });

  test('whoever did not get a key says so: it stands beside the event and before whoever looks after the keys, and can be confirmed after all', async () => {
    const deny = (event: CustodyEvent, by: TestClient, side = 'receiver') => by.post(`/v1/custody-events/${event.id}/denials`, { side });
    const event = await issued(orla);
    expect(code(await deny(event, owner).expect(409))).toBe('wrong-person');
    expect(code(await deny(event, collector, 'giver').expect(409))).toBe('confirmed-already');
    const denied = (await deny(event, collector).expect(201)).body as CustodyEvent;
    expect(denied).toMatchObject({ acknowledgements: [{ side: 'giver' }], denials: [{ side: 'receiver', person: { personId: orla }, how: 'signed-in' }] });
    api.clock.advance({ milliseconds: 1000 });
    expect((await deny(event, collector).expect(201)).body).toEqual(denied);
    const waiting = async () => ((await collector.get('/v1/own-keys/to-confirm').expect(200)).body as CustodyToConfirm).items.find(({ eventId }) => eventId === event.id);
    expect(await waiting()).toMatchObject({ deniedAt: denied.denials[0]?.deniedAt, deniedHow: 'signed-in' });
    const { unacknowledged } = (await custodian.get('/v1/key-attention').expect(200)).body as KeyAttention;
    expect(unacknowledged.find(({ eventId }) => eventId === event.id)).toMatchObject({ deniedBy: [{ side: 'receiver', how: 'signed-in' }] });
    // Found in the other pocket.
    await acknowledge(event, collector).expect(201);
    expect(await waiting()).toBeUndefined();
    const wrong = await issued(orla);
    await owner.post('/v1/custody-events', { kind: 'corrected', correctsId: wrong.id, says: null, reason: 'Nobody got it' }).expect(201);
    expect(code(await deny(wrong, collector).expect(409))).toBe('wrong-state');
    await api.operator.as('auditor').post(`/v1/custody-events/${event.id}/denials`, { side: 'receiver' }).expect(403);
    // The custodian, for the store, of what the owner recorded: it is listed although its receiver confirmed it.
    const given = await issued(orla, owner);
    await acknowledge(given, collector).expect(201);
    await deny(given, custodian, 'giver').expect(201);
    const listed = ((await owner.get('/v1/key-attention').expect(200)).body as KeyAttention).unacknowledged;
    expect(listed.find(({ eventId }) => eventId === given.id)).toMatchObject({ deniedBy: [{ side: 'giver', how: 'signed-in' }] });
  });

  test('a site’s manager confirms what left the hook, and is not told who at which other site got it', async () => {
    const manager = api.operator.as('site-manager');
    const [own, other] = [await makeSite(owner), await makeSite(owner)];
    const responsible = await makePerson(owner, { employedBy: 'site', siteId: own.id });
    const stranger = await makePerson(owner, { name: 'Tom Elsewhere', employedBy: 'site', siteId: other.id });
    await bindToPerson(owner, { accountId: manager.id, role: 'site-manager', personId: responsible.id, siteIds: [own.id] });
    const hook = { kind: 'place', id: await keys.place({ siteId: own.id, responsiblePersonId: responsible.id }) };
    const cut = await keys.cut({ class: 'access' });
    const made = (await owner.post('/v1/key-copies', { keyCodeId: cut.id, numbers: [nextCode('K')], storeId: safe, reason: 'New' }).expect(201)).body as MadeKeyCopies;
    const move = (body: object) => {
      api.clock.advance({ milliseconds: 1000 });
      return custodian.post('/v1/custody-events', { keyCopyIds: [made.items[0]?.id], reason: 'Moved', ...body }).expect(201);
    };
    await move({ kind: 'issued', from: { kind: 'store', id: safe }, to: hook });
    const gone = (await move({ kind: 'handed-over', from: hook, to: { kind: 'person', id: stranger.id }, reason: 'Tom Elsewhere asked for it' })).body as CustodyEvent;
    const side = { side: 'giver' };
    const answers = [
      (await manager.get('/v1/own-keys/to-confirm').expect(200)).text,
      (await manager.post(`/v1/custody-events/${gone.id}/denials`, side).expect(201)).text,
      (await acknowledge(gone, manager, 'giver').expect(201)).text,
    ];
    for (const answer of answers) {
      expect(answer).toContain('Somebody at another site');
      for (const secret of [stranger['name'], stranger['code'], other['code'], other.id]) expect(answer).not.toContain(String(secret));
    }
    expect(JSON.parse(answers[2] ?? '')).toMatchObject({ id: gone.id, acknowledgements: [side] });
  });

  test('of two that confirm one side at once one does', async () => {
    const event = await issued(orla);
    const answers = await Promise.all([acknowledge(event, collector), acknowledge(event, collector), acknowledge(event, collector)]);
    expect(answers.map(({ status }) => status).sort()).toEqual([201, 409, 409]);
  });

  test('what is not confirmed goes overdue', async () => {
    const event = await issued(orla);
    expect(Date.parse(event.acknowledgeBy ?? '') - Date.parse(event.recordedAt)).toBe(48 * HOUR);
  });
});

describe('by a one-use link', () => {
  const link = async (event: CustodyEvent, body: object = {}): Promise<CustodyLink> => (await custodian.post(`/v1/custody-events/${event.id}/links`, { side: 'receiver', ...body }).expect(201)).body as CustodyLink;
  const secretOf = ({ address }: CustodyLink): string => (address ?? '').split('#')[1] ?? '';
  const look = (secret: string) => api.anonymous.post('/v1/custody-links/look').send({ secret });
  const confirm = (secret: string) => api.anonymous.post('/v1/custody-links/confirm').send({ secret });
  const deny = (secret: string) => api.anonymous.post('/v1/custody-links/deny').send({ secret });

  test('it says what is confirmed, without signing in, and serves once', async () => {
    const event = await issued(barkeeper.id);
    const secret = secretOf(await link(event));
    const shown = (await look(secret).expect(200)).body as object;
    expect(shown).toEqual({
      operatorName: 'Test operator', personName: 'Bar Keeper', side: 'receiver', says: 'issued', happenedAt: event.happenedAt, dueBackAt: null,
      fromName: 'Office safe', toName: 'Bar Keeper', copies: [{ number: event.copies[0]?.number, class: 'access' }], confirmedAt: null, deniedAt: null, deniedHow: null,
    });
    expect((await confirm(secret).expect(200)).body).toMatchObject({ confirmedAt: api.clock.now().toISOString() });
    expect(code(await confirm(secret).expect(409))).toBe('confirmed-already');
    expect((await look(secret).expect(200)).body).toMatchObject({ confirmedAt: api.clock.now().toISOString() });
    expect(sides((await custodian.get(`/v1/custody-events/${event.id}`).expect(200)).body as CustodyEvent)).toContain('receiver link Bar Keeper');
  });

  test('who did not get it says so: the same record as signed in, but said to have come by a link, in the list of what is not confirmed, and confirmed it can be all the same', async () => {
    const event = await issued(barkeeper.id);
    const secret = secretOf(await link(event));
    const deniedAt = api.clock.now().toISOString();
    expect((await deny(secret).expect(200)).body).toMatchObject({ confirmedAt: null, deniedAt, deniedHow: 'link' });
    const stored = async (): Promise<CustodyEvent> => (await custodian.get(`/v1/custody-events/${event.id}`).expect(200)).body as CustodyEvent;
    expect(await stored()).toMatchObject({ denials: [{ side: 'receiver', person: { name: 'Bar Keeper' }, how: 'link', deniedAt }], acknowledgements: [{ side: 'giver' }] });
    const attention = (await custodian.get('/v1/key-attention').expect(200)).body as KeyAttention;
    expect(attention.unacknowledged.find(({ eventId }) => eventId === event.id)).toMatchObject({ deniedBy: [{ side: 'receiver', how: 'link' }] });
    const lines = (await custodian.get('/v1/key-attention/export').expect(200)).text.split('\r\n');
    expect(lines[0]).toMatch(/,denied_by,denied_how$/);
    expect(lines.find((line) => line.startsWith(`unacknowledged,${event.copies[0]?.number},`))).toMatch(/,receiver,link$/);

    api.clock.advance({ milliseconds: HOUR });
    expect((await deny(secret).expect(200)).body).toMatchObject({ deniedAt });
    expect((await look(secret).expect(200)).body).toMatchObject({ deniedAt });
    expect((await stored()).denials).toHaveLength(1);
    const confirmedAt = api.clock.now().toISOString();
    expect((await confirm(secret).expect(200)).body).toMatchObject({ confirmedAt, deniedAt });
    expect(code(await deny(secret).expect(409))).toBe('confirmed-already');
  });

  test('a denial by a link is told from one said signed in, also to whose name it was said in', async () => {
    const event = await issued(orla);
    await deny(secretOf(await link(event))).expect(200);
    const { items } = (await collector.get('/v1/own-keys/to-confirm').expect(200)).body as CustodyToConfirm;
    expect(items.find(({ eventId }) => eventId === event.id)).toMatchObject({ deniedHow: 'link' });
    // Who gave says so too, signed in: each side by its own way.
    const given = await issued(orla, owner);
    await deny(secretOf(await link(given))).expect(200);
    await custodian.post(`/v1/custody-events/${given.id}/denials`, { side: 'giver' }).expect(201);
    const { unacknowledged } = (await owner.get('/v1/key-attention').expect(200)).body as KeyAttention;
    expect(unacknowledged.find(({ eventId }) => eventId === given.id)?.deniedBy).toEqual([{ side: 'giver', how: 'signed-in' }, { side: 'receiver', how: 'link' }]);
    const lines = (await owner.get('/v1/key-attention/export').expect(200)).text.split('\r\n');
    expect(lines.find((line) => line.startsWith(`unacknowledged,${given.copies[0]?.number},`))).toMatch(/,giver receiver,signed-in link$/);
  });

  test('it leaves out a copy of which the event was corrected', async () => {
    api.clock.advance({ milliseconds: 1000 });
    const { items } = (await custodian.post('/v1/key-copies', { keyCodeId: codes.access, numbers: [nextCode('K'), nextCode('K')], storeId: safe, reason: 'Came with the lock' }).expect(201)).body as MadeKeyCopies;
    api.clock.advance({ milliseconds: 1000 });
    const [kept, never] = items;
    const event = (await custodian.post('/v1/custody-events', { kind: 'issued', keyCopyIds: items.map(({ id }) => id), from: { kind: 'store', id: safe }, to: { kind: 'person', id: barkeeper.id }, reason: 'Route of the week' }).expect(201)).body as CustodyEvent;
    const secret = secretOf(await link(event));
    await owner.post('/v1/custody-events', { kind: 'corrected', correctsId: event.id, keyCopyIds: [never?.id], says: null, reason: 'It stayed in the safe' }).expect(201);
    expect(((await look(secret).expect(200)).body as { copies: { number: string }[] }).copies.map(({ number }) => number)).toEqual([kept?.number]);
  });

  test('one that has expired, was changed, or is of another operator confirms nothing', async () => {
    const event = await issued(barkeeper.id);
    const secret = secretOf(await link(event));
    const ofOther = `${api.other.tenantId.replaceAll('-', '')}.${secret.split('.')[1]}`;
    for (const wrong of [`${secret.slice(0, -1)}${secret.endsWith('A') ? 'B' : 'A'}`, ofOther, 'nonsense', `${'0'.repeat(32)}.${'A'.repeat(43)}`]) {
      expect(code(await look(wrong).expect(422))).toBe('link-unusable');
      expect(code(await confirm(wrong).expect(422))).toBe('link-unusable');
      expect(code(await deny(wrong).expect(422))).toBe('link-unusable');
    }
    api.clock.advance({ milliseconds: 7 * 24 * HOUR });
    expect(code(await confirm(secret).expect(422))).toBe('link-unusable');
    api.clock.advance({ milliseconds: -7 * 24 * HOUR });
    const fresh = await issued(barkeeper.id, await api.operator.withToken({ role: 'custodian', scopes: ['custody'] }));
    expect(fresh.acknowledgements).toEqual([]);
  });

  test('it is stored as a hash, made again for nobody else, and shown once', async () => {
    const event = await issued(barkeeper.id);
    const send = () => owner.post(`/v1/custody-events/${event.id}/links`, { side: 'receiver' }).set('Idempotency-Key', `link-${event.id}`).expect(201);
    const first = (await send()).body as CustodyLink;
    expect((await send()).body).toEqual({ ...first, address: null });
    const stored = await api.operator.inBooks((tx) => tx.sql<{ text: string }>('SELECT l::text AS text FROM custody_link l'));
    expect(stored.rows.some(({ text }) => text.includes(secretOf(first)))).toBe(false);
    expect(errorsOf(await owner.post(`/v1/custody-events/${event.id}/links`, { side: 'receiver', personId: orla }).expect(422))).toEqual(['#/personId not-of-this-side']);
  });

  test('guesses are limited by address', async () => {
    const strict = await startTestApi({ guessesPerMinute: 3 });
    try {
      const statuses: number[] = [];
      for (let guess = 0; guess < 5; guess += 1) statuses.push((await strict.anonymous.post('/v1/custody-links/look').send({ secret: 'guess' })).status);
      expect(statuses).toEqual([422, 422, 422, 429, 429]);
    } finally {
      await strict.close();
    }
  });
});

describe('by a signed receipt', () => {
  const sign = (event: CustodyEvent, body: object, client = custodian) => client.post(`/v1/custody-events/${event.id}/signatures`, { side: 'receiver', name: 'B. Keeper', signature: { kind: 'typed', text: 'B. Keeper' }, ...body });
  const drawn = { kind: 'drawn', strokes: [[0, 0, 500, 200, 1000, 400], [10, 10, 20, 20]] };

  test.each([['drawn', drawn], ['typed', { kind: 'typed', text: 'B. Keeper' }]] as const)('%s, of somebody of a site without an account', async (_, signature) => {
    const event = await issued(barkeeper.id);
    const signed = (await sign(event, { signature }).expect(201)).body as CustodyEvent;
    expect(sides(signed)).toContain('receiver signed Bar Keeper');
    expect(code(await sign(event, { signature }).expect(409))).toBe('confirmed-already');
  });

  test.each([
    ['too many points', { kind: 'drawn', strokes: Array.from({ length: 3 }, () => Array.from({ length: 1200 }, () => 5)) }],
    ['points outside the page', { kind: 'drawn', strokes: [[0, 0, 2000, 1]] }],
    ['half a point', { kind: 'drawn', strokes: [[0, 0, 1, 1, 5]] }],
    ['markup', { kind: 'drawn', strokes: '<svg onload=alert(1)>' }],
    ['control characters', { kind: 'typed', text: 'B.\u0000Keeper' }],
    ['nothing', { kind: 'typed', text: '  ' }],
  ])('%s is no signature', async (_, signature) => {
    const event = await issued(barkeeper.id);
    expect(code(await sign(event, { signature }).expect(400))).toBe('invalid-request');
  });

  test('the operator’s own people, and those with an account, confirm themselves', async () => {
    expect(errorsOf(await sign(await issued(orla), {}).expect(422))).toEqual(['#/personId of-the-operator']);
    const manager = api.operator.as('site-manager');
    const site = await makeSite(owner, { id: api.operator.siteId });
    const managing = await makePerson(owner, { employedBy: 'site', siteId: site.id });
    await bindToPerson(owner, { accountId: manager.id, role: 'site-manager', personId: managing.id, siteIds: [site.id] });
    const event = await issued(managing.id);
    expect(errorsOf(await sign(event, {}).expect(422))).toEqual(['#/personId has-account']);
    expect(sides((await acknowledge(event, manager).expect(201)).body as CustodyEvent)).toContain('receiver signed-in Orla Venn');
  });

  test('a collector takes receipts for keys that they give, and for no others', async () => {
    const mine = await issued(orla);
    expect(code(await sign(await issued(barkeeper.id), {}, collector).expect(409))).toBe('wrong-person');
    api.clock.advance({ milliseconds: 1000 });
    const body = { kind: 'handed-over', keyCopyIds: mine.copies.map(({ keyCopyId }) => keyCopyId), from: { kind: 'person', id: orla }, to: { kind: 'person', id: barkeeper.id }, reason: 'For the bar' };
    const event = (await collector.post('/v1/custody-events', body).expect(201)).body as CustodyEvent;
    expect(sides((await sign(event, { signature: drawn }, collector).expect(201)).body as CustodyEvent)).toEqual(['giver recorded Orla Venn', 'receiver signed Bar Keeper']);
  });
});

describe('erasing somebody’s data', () => {
  test('takes name, address and signatures, and leaves every proof as it was', async () => {
    const event = await issued(barkeeper.id);
    await custodian.post(`/v1/custody-events/${event.id}/signatures`, { side: 'receiver', name: 'B. Keeper', signature: { kind: 'typed', text: 'B. Keeper' } }).expect(201);
    const unconfirmed = await issued(barkeeper.id);
    const link = (await custodian.post(`/v1/custody-events/${unconfirmed.id}/links`, { side: 'receiver' }).expect(201)).body as CustodyLink;
    const get = async <Body>(path: string): Promise<Body> => (await owner.get(`/v1/evidence/${path}`).expect(200)).body as Body;
    const head = await get<{ size: number; root: string }>('head');
    const proofs = async (): Promise<Inclusion[]> => Promise.all(Array.from({ length: head.size }, (_, index) => get<Inclusion>(`inclusion?index=${index}&size=${head.size}`)));
    const before = await proofs();

    const erase = () => owner.post(`/v1/people/${barkeeper.id}/erasure`, { confirmed: [] });
    expect(code(await erase().expect(409))).toBe('wrong-state');
    const { revision } = (await owner.get(`/v1/people/${barkeeper.id}`).expect(200)).body as Made;
    await owner.patch(`/v1/people/${barkeeper.id}`, { leftOn: '2026-03-30' }).set('If-Match', etag({ revision })).expect(200);
    api.clock.advance({ milliseconds: HOUR });
    const held = await erase().expect(409);
    expect(JSON.stringify(held.body)).toContain(event.copies[0]?.number);
    const holdings = await api.operator.inBooks((tx) => tx.sql<{ id: string }>('SELECT key_copy_id AS id FROM custody WHERE person_id = $1 AND held_to IS NULL AND known_to IS NULL', [barkeeper.id]));
    for (const { id } of holdings.rows) {
      await custodian.post('/v1/custody-events', { kind: 'returned', keyCopyIds: [id], from: { kind: 'person', id: barkeeper.id }, to: { kind: 'store', id: safe }, reason: 'Left' }).expect(201);
    }
    expect((await erase().expect(201)).body).toMatchObject({ id: barkeeper.id, signaturesErased: 4 });

    // What was taken from them now would never be erased: no signature is, and links end that they had before.
    const signature = { side: 'receiver', name: 'B. Keeper', signature: { kind: 'typed', text: 'B. Keeper' } };
    expect(code(await custodian.post(`/v1/custody-events/${unconfirmed.id}/signatures`, signature).expect(409))).toBe('wrong-state');
    expect(code(await custodian.post(`/v1/custody-events/${unconfirmed.id}/links`, { side: 'receiver' }).expect(409))).toBe('wrong-state');
    for (const step of ['look', 'confirm', 'deny']) expect(code(await api.anonymous.post(`/v1/custody-links/${step}`).send({ secret: link.address?.split('#')[1] }).expect(422))).toBe('link-unusable');

    const everything = await api.operator.inBooks(async (tx) => {
      const texts: string[] = [];
      for (const table of ['person', 'custody_event', 'custody_acknowledgement', 'custody_signature', 'audit_entry']) {
        texts.push(...(await tx.sql<{ text: string }>(`SELECT t::text AS text FROM ${table} t`)).rows.map(({ text }) => text));
      }
      const leaves = (await tx.sql<{ text: string }>(`SELECT convert_from(entry, 'UTF8') AS text FROM evidence_leaf`)).rows;
      return [...texts, ...leaves.map(({ text }) => text)].join('\n');
    });
    expect(everything).not.toMatch(/Bar Keeper|B\. Keeper|bar@site/);

    expect(await proofs()).toEqual(before);
    for (const { index, leafHash: hash, head: under, proof } of before) {
      const leaf = await get<EvidenceLeaf>(`leaves/${index}`);
      expect(Buffer.from(leafHash(Buffer.concat([Buffer.from(leaf.salt, 'hex'), Buffer.from(leaf.entry, 'utf8')]), sha256)).toString('hex')).toBe(hash);
      expect(verifyInclusion({ index, leafHash: Buffer.from(hash, 'hex'), head: { size: under.size, root: Buffer.from(under.root, 'hex') }, proof: proof.map((step) => Buffer.from(step, 'hex')) }, sha256)).toBe(true);
    }
  });
});
