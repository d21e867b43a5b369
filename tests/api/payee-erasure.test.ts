import { randomUUID } from 'node:crypto';
import type { BankDetail } from '#contracts/bank-detail';
import type { Party, PartyErasure } from '#contracts/party';
import { verifyHeld } from '#command/verify-log';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, failuresOf, issueMonth, settlementOf, settleMissing } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment } from '#tests/support/collecting';
import { errorsOf, etag, makeParty, makeRunningSite, type Made } from '#tests/support/set-up';

// Operators are of the United States, whose law asks for six years here, and a seventh since their accounting
// year may end within the calendar year: what ended in 2026 is kept until 31 December 2033.

let api: TestApi;
let office: TestClient;
beforeEach(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
});
afterEach(() => api?.close());

const IBAN = 'DE89370400440532013000';
const account = { kind: 'iban', holderName: 'Ada Quill', iban: IBAN, bic: null };
const erasureOf = async (client: TestClient, { id }: { id: string }) => (await client.get(`/v1/parties/${id}/erasure`).expect(200)).body as PartyErasure;
const erase = (client: TestClient, { id }: { id: string }) => client.post(`/v1/parties/${id}/erasure`);
const partyOf = async (client: TestClient, { id }: { id: string }) => (await client.get(`/v1/parties/${id}`).expect(200)).body as Party;

/** A payee with an account and a taxpayer number whose agreement ended in March, settled and paid. */
async function departed() {
  const owner = api.operator.as('owner');
  const running = await makeRunningSite(office);
  const before = await partyOf(office, running.party);
  const first = await office.patch(`/v1/parties/${before.id}`, { email: 'quill@before.example' }).set('If-Match', etag(before)).expect(200);
  await office.patch(`/v1/parties/${before.id}`, { name: 'Ada Quill', address: ['7 Heron Lane'], email: 'ada@quill.example' }).set('If-Match', etag(first.body as Made)).expect(200);
  const { id } = (await office.post('/v1/bank-details', { partyId: before.id, account, reason: 'Ada Quill called' }).expect(201)).body as BankDetail;
  await owner.post(`/v1/bank-details/${id}/confirm`, { number: IBAN }).expect(200);
  await office.post('/v1/taxpayer-numbers', { partyId: before.id, number: '12-3456789' }).expect(201);
  await makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')], { happenedAt: moment('2026-03-10') });
  const agreement = (await office.get(`/v1/agreements/${running.agreement.id}`).expect(200)).body as Made;
  await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2026-03-31' }).set('If-Match', etag(agreement)).expect(200);
  const close = await issueMonth(api, (await closeMonth(api, '2026-03-01')).id);
  const settlement = await settlementOf(api, { siteId: running.site.id, startsOn: '2026-03-01' });
  return { ...running, close, settlement };
}

const pay = ({ agreement, settlement }: Awaited<ReturnType<typeof departed>>) =>
  office.post('/v1/payments', { agreementId: agreement.id, amount: settlement.totals.payable, method: 'bank', paidOn: '2026-04-20' }).expect(201);

/** Everything that the database holds of an operator in clear, in one text; statements are sealed by nobody. */
const everything = () =>
  api.operator.inBooks(async (tx) => {
    const tables = ['party', 'party_address_change', 'bank_detail', 'bank_detail_payee_mail', 'bank_detail_event', 'taxpayer_number', 'audit_entry', 'idempotency_record', 'settlement', 'payment'];
    const rows: string[] = [];
    for (const table of tables) rows.push(JSON.stringify((await tx.sql(`SELECT to_jsonb(t) AS row FROM ${table} t WHERE tenant_id = $1`, [tx.tenantId])).rows));
    return rows.join();
  });

test('a payee is erased when nothing is open and the law asks for no more, and what was proven stays proven', async () => {
  const gone = await departed();
  const owner = api.operator.as('owner');
  expect(await erasureOf(owner, gone.party)).toMatchObject({ inTheWay: [{ kind: 'open-item', which: gone.settlement.number }], keptUntil: '2033-12-31', isHeld: false });
  const open = await erase(owner, gone.party).expect(409);
  expect(open.body).toMatchObject({ code: 'wrong-state', detail: expect.stringContaining(`open-item ${gone.settlement.number ?? ''}`) });
  await pay(gone);
  const early = await erase(owner, gone.party).expect(409);
  expect(early.body).toMatchObject({ code: 'must-be-kept', detail: expect.stringContaining('31 December 2033') });
  expect(early.body.detail).toContain('26 CFR 1.6001-1(e)');
  await erase(office, gone.party).expect(403);
  await erase(api.other.as('owner'), gone.party).expect(404);
  const statement = (await office.get(`/v1/settlements/${gone.settlement.id}/statement`).expect(200)).body as Buffer;
  const head = (await office.get('/v1/evidence/head').expect(200)).body as { size: number; root: string };

  // New Year in Chicago.
  api.clock.set(new Date('2034-01-01T05:59:00Z'));
  const boss = await api.operator.newMember('owner');
  await erase(boss, gone.party).expect(409);
  api.clock.set(new Date('2034-01-01T06:00:00Z'));
  const hold = randomUUID();
  await boss.post('/v1/retention/holds', { id: hold, reason: 'A dispute with the heirs' }).expect(201);
  expect((await erase(boss, gone.party).expect(409)).body).toMatchObject({ code: 'must-be-kept', detail: expect.stringContaining('hold') });
  await boss.post(`/v1/retention/holds/${hold}/lift`, { reason: 'Settled' }).expect(200);
  expect(await everything()).toMatch(/Ada Quill.*quill@before.*"ending":"6789"/);
  const erased = (await erase(boss, gone.party).expect(201)).body as Party;
  expect(erased).toMatchObject({ id: gone.party.id, code: gone.party['code'], name: 'Erased', address: [], email: null, erasedAt: '2034-01-01T06:00:00.000Z' });
  expect((await everything()).match(/Ada Quill|Heron Lane|ada@quill|quill@before|ending\\*":\\*"(3000|6789)/g)).toBeNull();
  expect((await boss.get(`/v1/bank-details?partyId=${gone.party.id}`).expect(200)).body.items).toEqual([]);
  expect((await erase(boss, gone.party).expect(409)).body.code).toBe('wrong-state');

  expect((await boss.get(`/v1/settlements/${gone.settlement.id}/statement`).expect(200)).body).toEqual(statement);
  expect((await boss.get('/v1/year-end?year=2026').expect(200)).body.payees).toMatchObject([{ partyId: gone.party.id, taxpayerNumber: null }]);
  expect(await verifyHeld(api.db.database, { operatorCode: api.operator.code, head: { size: head.size, root: Buffer.from(head.root, 'hex') } })).toMatchObject({ fits: true });
});

test('what turns up for an erased payee is not lost: it waits until their name is recorded again', async () => {
  const gone = await departed();
  await pay(gone);
  api.clock.set(new Date('2034-02-01T15:00:00Z'));
  const [boss, clerk] = [await api.operator.newMember('owner'), await api.operator.newMember('bookkeeper')];
  const later = { operator: { ...api.operator, as: () => clerk } };
  await erase(boss, gone.party).expect(201);
  await makeAcceptedCollection(clerk, gone.site, [count(gone.machine, '50.00', '0.00')], { happenedAt: moment('2026-03-12') });
  const close = await issueMonth(later, (await closeMonth(later, '2026-04-01')).id);
  expect(failuresOf(close)).toEqual([`${gone.site['code'] as string} cannot-be-settled`]);
  expect(close.failures[0]?.message).toContain(`Who ${gone.party['code'] as string} was is erased`);

  const party = await partyOf(clerk, gone.party);
  const change = (body: object) => clerk.patch(`/v1/parties/${party.id}`, body).set('If-Match', etag(party));
  expect(errorsOf(await change({ locale: 'de-DE' }).expect(422))).toEqual(['#/name missing']);
  expect((await change({ name: 'Heirs of A. Q.' }).expect(200)).body).toMatchObject({ name: 'Heirs of A. Q.', erasedAt: null });
  await settleMissing(later, close.id);
  expect(failuresOf(await issueMonth(later, close.id))).toEqual([]);
  expect(await settlementOf(later, { siteId: gone.site.id, startsOn: '2026-04-01' })).toMatchObject({ state: 'issued', kind: 'supplementary' });
});

test('a payee of whom the books have nothing is erased at once; a hold also keeps people', async () => {
  const owner = api.operator.as('owner');
  const party = await makeParty(office, { name: 'Ida Fenn' });
  const person = (await office.post('/v1/people', { code: 'E-77', name: 'Ona Reed', employedBy: 'operator', startedOn: '2025-01-01' }).expect(201)).body as Made;
  await office.patch(`/v1/people/${person.id}`, { leftOn: '2026-04-01' }).set('If-Match', etag(person)).expect(200);
  expect(await erasureOf(owner, party)).toMatchObject({ inTheWay: [], keptUntil: null });
  const hold = randomUUID();
  await owner.post('/v1/retention/holds', { id: hold, reason: 'An audit' }).expect(201);
  expect((await owner.post(`/v1/people/${person.id}/erasure`, { confirmed: [] }).expect(409)).body.code).toBe('must-be-kept');
  await owner.post(`/v1/retention/holds/${hold}/lift`, { reason: 'It is over' }).expect(200);
  await erase(owner, party).expect(201);
  await owner.post(`/v1/people/${person.id}/erasure`, { confirmed: [] }).expect(201);
});
