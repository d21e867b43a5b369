import { createHash } from 'node:crypto';
import type { BankDetail } from '#contracts/bank-detail';
import { announceBankDetails } from '#backoffice/bank-detail/announce';
import { tellPayees } from '#backoffice/bank-detail/tell-payee';
import { tellOldAddresses } from '#backoffice/party/tell-old-address';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { errorsOf, makeRunningSite, makeSite, type Made } from '#tests/support/set-up';

// ISO 13616 registry, example of Germany.
const IBAN = 'DE89370400440532013000';
const iban = { kind: 'iban', holderName: 'Harbor Bar', iban: 'de89 3704 0044 0532 0130 00', bic: 'COBADEFFXXX' };
const us = { kind: 'us', holderName: 'Harbor Bar', routingNumber: '111000025', accountNumber: '12345678', accountType: 'checking', holderKind: 'business', originator: null };

let api: TestApi;
let office: TestClient;
let owner: TestClient;
let party: Made;
beforeEach(async () => {
  api = await startTestApi();
  [office, owner] = [api.operator.as('bookkeeper'), api.operator.as('owner')];
  party = (await makeRunningSite(office, { site: { id: api.operator.siteId } })).party;
});
afterEach(() => api?.close());

const propose = (more: object = {}) => office.post('/v1/bank-details', { partyId: party.id, account: iban, reason: 'Letter of 3 March, called back.', ...more });
const proposed = async (more: object = {}): Promise<BankDetail> => (await propose(more).expect(201)).body as BankDetail;
const confirm = (id: string, number = IBAN, who = owner) => who.post(`/v1/bank-details/${id}/confirm`, { number });
const confirmUs = (id: string, typed: object = {}) => owner.post(`/v1/bank-details/${id}/confirm`, { number: '12345678', routingNumber: '111000025', ...typed });
const list = async (query = ''): Promise<BankDetail[]> => ((await office.get(`/v1/bank-details?${query}`).expect(200)).body as { items: BankDetail[] }).items;
const states = async (): Promise<string[]> => (await list(`partyId=${party.id}`)).map(({ state }) => state);

it('takes an account down masked and sealed, and has a second person type its number again', async () => {
  const made = await proposed();
  expect(made).toMatchObject({ partyId: party.id, kind: 'iban', country: 'DE', ending: '3000', bank: 'COBADEFFXXX', holderName: 'Harbor Bar', state: 'proposed', decidedAt: null, madeAlone: false });
  const everything = await api.operator.inBooks(async (tx) => {
    const rows = [await tx.sql('SELECT * FROM bank_detail'), await tx.sql('SELECT * FROM audit_entry'), await tx.sql('SELECT * FROM idempotency_record')];
    return rows.map((found) => JSON.stringify(found.rows)).join();
  });
  expect(everything).toContain('3000');
  expect(everything).not.toMatch(/0532013000|370400440/);
  expect((await confirm(made.id, IBAN, office).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  expect(errorsOf(await confirm(made.id, 'DE89370400440532013001').expect(422))).toEqual(['#/number differs']);
  expect((await confirm(made.id, 'DE89 3704 0044 0532 0130 00').expect(200)).body).toMatchObject({ state: 'in-force', decidedBy: `user:${owner.id}`, madeAlone: false });
  await confirm(made.id).expect(409);
});

it('keeps of a request neither its numbers nor a digest from which they could be guessed, and answers its repetition from the account', async () => {
  const body = { partyId: party.id, account: us, reason: 'Letter of 3 March, called back.' };
  const send = (more: object = {}) => office.post('/v1/bank-details', { ...body, ...more }).set('Idempotency-Key', 'once');
  const first = await send().expect(201);
  const again = await send().expect(201);
  expect([again.headers['idempotency-replayed'], again.body]).toEqual(['true', first.body]);
  expect((await send({ account: { ...us, accountNumber: '12345679' } })).body).toMatchObject({ code: 'idempotency-key-reused' });
  const kept = () => api.operator.inBooks(async (tx) => (await tx.sql<{ body: string; body_hash: Buffer }>(`SELECT body, body_hash FROM idempotency_record WHERE key = 'once'`)).rows[0]);
  const bare = createHash('sha256').update(JSON.stringify(body)).digest();
  expect((await kept())?.body).toBe(JSON.stringify((first.body as BankDetail).id));
  expect((await kept())?.body_hash.equals(bare)).toBe(false);
  // What an earlier version kept is known again all the same.
  await api.operator.inBooks((tx) => tx.sql(`UPDATE idempotency_record SET body_hash = $1 WHERE key = 'once'`, [bare]));
  expect((await send().expect(201)).body).toEqual(first.body);
});

it('keeps every account on record: replaced, rejected, withdrawn', async () => {
  const [first, second, third] = [await proposed(), await proposed({ account: us }), await proposed()];
  await confirm(first.id).expect(200);
  expect(await states()).toEqual(['proposed', 'proposed', 'in-force']);
  api.clock.advance({ milliseconds: 1000 });
  expect(errorsOf(await confirm(second.id, '12345678').expect(422))).toEqual(['#/routingNumber missing']);
  // The check digit is right: another bank, at which the number is somebody else's.
  expect(errorsOf(await confirmUs(second.id, { routingNumber: '021000021' }).expect(422))).toEqual(['#/routingNumber differs']);
  expect(errorsOf(await confirmUs(second.id, { number: '12345679', routingNumber: '021000021' }).expect(422))).toEqual(['#/number differs', '#/routingNumber differs']);
  expect(errorsOf(await confirmUs(third.id, { number: IBAN }).expect(422))).toEqual(['#/routingNumber not-for-iban']);
  await confirmUs(second.id, { routingNumber: '1110 00025' }).expect(200);
  await owner.post(`/v1/bank-details/${third.id}/reject`, { reason: 'The letter was forged.' }).expect(200);
  expect(await states()).toEqual(['rejected', 'in-force', 'replaced']);
  expect((await office.post(`/v1/bank-details/${second.id}/withdraw`, { reason: 'Closed.' }).expect(200)).body).toMatchObject({ state: 'withdrawn', note: 'Closed.', bank: '111000025', accountType: 'checking' });
  // What was in force before does not come back by that.
  expect(await states()).toEqual(['rejected', 'withdrawn', 'replaced']);
  await office.post(`/v1/bank-details/${first.id}/withdraw`, { reason: 'Closed.' }).expect(409);
  expect(await list('state=in-force')).toEqual([]);
});

it('names the field of what cannot be an account', async () => {
  const wrong = async (account: object, status = 400): Promise<string[]> => errorsOf(await propose({ account }).expect(status));
  expect(await wrong({ ...iban, iban: 'DE89370400440532013001' })).toEqual(['#/account/iban wrong-check-digits']);
  expect(await wrong({ ...iban, iban: 'DE8937040044053201300' })).toEqual(['#/account/iban wrong-length']);
  expect((await wrong({ ...iban, bic: 'COBA' }))[0]).toMatch('#/account/bic');
  expect((await wrong({ ...us, routingNumber: '111000026' }))[0]).toMatch('#/account/routingNumber');
  const originator = { companyId: '1234567890', bankName: 'First Bank' };
  expect(await wrong({ ...us, originator }, 422)).toEqual(['#/account/originator not-for-payees']);
  expect(errorsOf(await propose({ partyId: null, account: us }).expect(422))).toEqual(['#/account/originator missing']);
  expect(errorsOf(await propose({ partyId: api.operator.siteId }).expect(422))).toEqual(['#/partyId unknown']);
  await propose({ partyId: null, account: { ...us, originator } }).expect(201);
  expect((await list('of=operator')).map(({ partyId }) => partyId)).toEqual([null]);
});

it('tells the owners and the people of the payee’s sites by mail, once', async () => {
  const mails: { to: readonly string[]; subject: string; text: string }[] = [];
  const announce = () => announceBankDetails(api.backoffice, { send: async (mail) => (mails.push(mail), 'sent'), onTrouble: (error) => { throw error; } });
  await makeSite(office);
  const made = await proposed();
  expect(await announce()).toBe(1);
  await confirm(made.id).expect(200);
  expect(await announce()).toBe(1);
  expect(await announce()).toBe(0);
  const [boss, bar] = [owner.email, api.operator.as('site-manager').email];
  expect(mails.map(({ to }) => to.join()).sort()).toEqual([boss, boss, bar, bar].sort());
  // Who works for the operator is not said to the people of the site.
  expect(mails.filter(({ text }) => text.includes('by       the operator')).map(({ to }) => to)).toEqual([[bar], [bar]]);
  expect(mails[0]?.text).toMatch(/waits for a second person[\s\S]*DE, ending in 3000/);
  expect(mails.map(({ text }) => text).join()).not.toContain(IBAN);
  expect((await list(`partyId=${party.id}`))[0]?.announcedAt).not.toBeNull();
});

describe('a payee with an address and no account here', () => {
  type Mail = { to: readonly string[]; subject: string; text: string };
  const onTrouble = (error: unknown): never => {
    throw error;
  };
  const told = async (by: typeof tellPayees): Promise<Mail[]> => {
    const mails: Mail[] = [];
    await by(api.backoffice, { send: async (mail) => (mails.push(mail), 'sent'), onTrouble });
    return mails;
  };
  const changeParty = async (change: object): Promise<void> => {
    const { body } = await office.get(`/v1/parties/${party.id}`).expect(200);
    await office.patch(`/v1/parties/${party.id}`, change).set('If-Match', `"${String((body as Made)['revision'])}"`).expect(200);
  };
  const DAY_MS = 86_400_000;
  /** Sessions end while days go by. */
  const signInAnew = async (): Promise<void> => {
    [office, owner] = [await api.operator.newMember('bookkeeper'), await api.operator.newMember('owner')];
  };

  it('is told in their language, once, and the announcement is not at its end before', async () => {
    await changeParty({ email: 'kasse@muehle.example', locale: 'de-AT' });
    const made = await proposed();
    expect(await announceBankDetails(api.backoffice, { send: async () => 'sent', onTrouble })).toBe(0);
    const [mail, ...others] = await told(tellPayees);
    expect(others).toEqual([]);
    expect(mail?.to).toEqual(['kasse@muehle.example']);
    expect(mail?.text).toMatch(/soll das Bankkonto von .* geändert werden[\s\S]*Konto {3}DE, endet auf 3000[\s\S]*durch {3}den Aufsteller[\s\S]*diese Adresse vor der Änderung/);
    expect(await told(tellPayees)).toEqual([]);
    expect(await announceBankDetails(api.backoffice, { send: async () => 'sent', onTrouble })).toBe(1);
    await confirm(made.id).expect(200);
    expect((await told(tellPayees)).map(({ text }) => text.split('\n')[0])).toEqual([expect.stringContaining('ab jetzt wird darauf gezahlt')]);
  });

  it('is told of another address at the one before, and of an account at both: whoever redirects mails first cannot keep it from them', async () => {
    await changeParty({ email: 'bar@quay.example' });
    expect(await told(tellOldAddresses)).toEqual([]);
    await changeParty({ email: 'BAR@quay.example' });
    expect(await told(tellOldAddresses)).toEqual([]);
    await changeParty({ email: 'thief@elsewhere.example' });
    const [mail, ...others] = await told(tellOldAddresses);
    expect([mail?.to, others]).toEqual([['BAR@quay.example'], []]);
    expect(mail?.text).toMatch(/was changed: statements, and news about the bank account, go to another address/);
    expect(mail?.text).not.toContain('thief');
    expect(await told(tellOldAddresses)).toEqual([]);

    api.clock.advance({ milliseconds: 20 * DAY_MS });
    await signInAnew();
    const made = await proposed();
    const to = async () => (await told(tellPayees)).map((each) => each.to.join()).sort();
    expect(await to()).toEqual(['BAR@quay.example', 'thief@elsewhere.example']);
    api.clock.advance({ milliseconds: 20 * DAY_MS });
    await signInAnew();
    await confirm(made.id).expect(200);
    expect(await to()).toEqual(['BAR@quay.example', 'thief@elsewhere.example']);
    // Long after the address was replaced it is another's business.
    api.clock.advance({ milliseconds: 20 * DAY_MS });
    await signInAnew();
    await proposed({ account: us });
    expect(await to()).toEqual(['thief@elsewhere.example']);
    await changeParty({ email: null });
    expect((await told(tellOldAddresses)).map(({ text }) => text)).toEqual([expect.stringContaining('was taken out')]);
  });

  it('who can sign in for a site, too, gets one mail and not two', async () => {
    await changeParty({ email: api.operator.as('site-manager').email.toUpperCase() });
    await proposed();
    expect(await told(tellPayees)).toEqual([]);
  });
});

it('tells everybody else where one mailbox takes nothing, and nobody twice', async () => {
  await makeSite(office);
  await proposed();
  await proposed({ account: us });
  const [boss, bar] = [owner.email, api.operator.as('site-manager').email];
  const tried: string[] = [];
  let dead: 'refused' | 'sent' = 'refused';
  const announce = () =>
    announceBankDetails(api.backoffice, { send: async ({ to }) => { tried.push(to.join()); return to.includes(boss) ? dead : 'unclear'; }, onTrouble: (error) => { throw error; } });
  expect(await announce()).toBe(0);
  expect(tried.splice(0).sort()).toEqual([boss, boss, bar, bar].sort());
  expect(await announce()).toBe(0);
  expect(tried).toEqual([]);
  api.clock.advance({ milliseconds: 61_000 });
  dead = 'sent';
  expect(await announce()).toBe(2);
  expect(tried.splice(0)).toEqual([boss, boss]);
  api.clock.advance({ milliseconds: 24 * 60 * 60 * 1000 });
  expect(await announce()).toBe(0);
  expect(tried).toEqual([]);
});

it('lets one person do both in a business of one, and labels it; the database takes nothing else', async () => {
  const made = await proposed();
  const unlabelled = api.operator.inBooks((tx) =>
    tx.sql(`INSERT INTO bank_detail_event (tenant_id, bank_detail_id, kind, happened_at, happened_by) SELECT tenant_id, id, 'confirmed', now(), proposed_by FROM bank_detail WHERE id = $1`, [made.id]),
  );
  await expect(unlabelled).rejects.toMatchObject({ constraint: 'bank_detail_second_person' });
  const alone = (await owner.post('/v1/bank-details', { partyId: party.id, account: iban, reason: 'Letter of the owner.' }).expect(201)).body as BankDetail;
  for (const role of ['bookkeeper', 'custodian', 'reviewer'] as const) await owner.delete(`/v1/members/${api.operator.as(role).id}`).set('If-Match', '"1"').expect(204);
  await confirm(alone.id).expect(403);
  const rules = { directHandOver: false, acknowledgeWithinHours: 48, inventoryEveryMonths: 3, custodianApart: true, onePersonReviewOn: '2026-12-01', reason: 'Nobody else works here.' };
  await owner.post('/v1/policy', rules).expect(201);
  expect((await confirm(alone.id).expect(200)).body).toMatchObject({ state: 'in-force', madeAlone: true });
  expect((await owner.get('/v1/policy/relaxed-records').expect(200)).body).toMatchObject({ items: [{ kind: 'bank-detail', recordId: alone.id, about: party['name'] }] });
});
