import { mailStatements, type StatementMessage } from '#backoffice/statement-mail/mail-statements';
import type { StatementMails } from '#contracts/statement-mail';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settleMissing, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection } from '#tests/support/collecting';
import { asTenant } from '#tests/support/database';
import { makeRunningSite, type Made } from '#tests/support/set-up';

const MARCH = '2026-03-01';
const MINUTE_MS = 60_000;
let api: TestApi;
let office: TestClient;
let closeId: string;
let own: Made;
let nobodys: Made;
beforeEach(async () => {
  api = await startTestApi({ now: '2026-04-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
  [own, nobodys] = [await siteWithCash({ id: api.operator.siteId }), await siteWithCash()];
  closeId = (await closeMonth(api, MARCH)).id;
  await issueMonth(api, closeId);
});
afterEach(() => api?.close());

async function siteWithCash(site?: object): Promise<Made> {
  const running = await makeRunningSite(office, site === undefined ? {} : { site });
  await makeAcceptedCollection(office, running.site, [count(running.machine)]);
  return running.site;
}

type Send = (message: StatementMessage) => Promise<'sent' | 'refused' | 'unclear'>;
const onTrouble = (error: unknown): never => {
  throw error;
};
const sendBy = (send: Send): Promise<number> => mailStatements(api.backoffice, { send, onTrouble });
const ask = async (body = {}): Promise<StatementMails> => (await office.post(`/v1/closes/${closeId}/statement-mails`, body).expect(202)).body as StatementMails;
const look = async (): Promise<StatementMails> => (await office.get(`/v1/closes/${closeId}/statement-mails`).expect(200)).body as StatementMails;

it('sends each statement to the people of its site, once however often it is asked', async () => {
  const mails: StatementMessage[] = [];
  const send: Send = async (mail) => (mails.push(mail), 'sent');
  expect(await look()).toMatchObject({ waiting: 0, sent: 0 });
  expect(await ask()).toEqual({ waiting: 1, sent: 0, refused: 0, unclear: 0, leftOut: 0, notAsked: 0, sitesWithoutReceiver: [nobodys['code']], troubles: [] });
  expect(await mailStatements(api.backoffice, { send, onTrouble, signal: AbortSignal.abort() })).toBe(0);
  expect(await sendBy(send)).toBe(1);
  const { id, number } = await settlementOf(api, { siteId: own.id, startsOn: MARCH });
  const pdf = (await office.get(`/v1/settlements/${id}/statement`).buffer(true).expect(200)).body as Buffer;
  expect(mails).toEqual([
    expect.objectContaining({ to: [api.operator.as('site-manager').email], attachment: { fileName: `statement-${number}.pdf`, mediaType: 'application/pdf', bytes: pdf } }),
  ]);
  expect(mails[0]?.text).toMatch(new RegExp(`statement ${number} of .* for .*, period March 1 – 31, 2026\\.`));
  expect(await ask()).toMatchObject({ waiting: 0, sent: 1 });
  await ask({ again: true });
  expect(await sendBy(send)).toBe(0);
});

it('tries again what was refused, after pauses that grow, and lists it', async () => {
  await ask();
  expect(await sendBy(async () => 'refused')).toBe(0);
  const { id } = await settlementOf(api, { siteId: own.id, startsOn: MARCH });
  expect(await look()).toMatchObject({ refused: 1, troubles: [{ settlementId: id, siteCode: own['code'], state: 'refused', attempts: 1 }] });
  const tries = async (minutes: number): Promise<number> => {
    api.clock.advance({ milliseconds: minutes * MINUTE_MS });
    let tried = 0;
    await sendBy(async () => ((tried += 1), 'refused'));
    return tried;
  };
  expect([await tries(0.5), await tries(0.5), await tries(1), await tries(1)]).toEqual([0, 1, 0, 1]);
  api.clock.advance({ milliseconds: 4 * MINUTE_MS });
  expect(await sendBy(async () => 'sent')).toBe(1);
  expect(await look()).toMatchObject({ sent: 1, refused: 0, troubles: [] });
});

it('sends no second copy by itself of what may have arrived: not after a lost connection, not after a worker that died', async () => {
  await ask();
  await sendBy(async () => 'unclear');
  api.clock.advance({ milliseconds: 60 * MINUTE_MS });
  expect(await sendBy(async () => 'sent')).toBe(0);
  expect(await look()).toMatchObject({ unclear: 1, waiting: 0 });
  expect(await ask({ again: true })).toMatchObject({ unclear: 0, waiting: 1 });
  // A worker that is killed while it sends never comes to say what became of it.
  await mailStatements(api.backoffice, { send: () => Promise.reject(new Error('killed')), onTrouble: () => undefined });
  expect(await look()).toMatchObject({ waiting: 1, unclear: 0 });
  expect(await sendBy(async () => 'sent')).toBe(0);
  api.clock.advance({ milliseconds: 11 * MINUTE_MS });
  expect(await look()).toMatchObject({ unclear: 1, troubles: [{ state: 'unclear' }] });
  expect(await sendBy(async () => 'sent')).toBe(0);
});

it('keeps back what was reversed before it went out', async () => {
  await ask();
  const { id } = await settlementOf(api, { siteId: own.id, startsOn: MARCH });
  await office.post(`/v1/settlements/${id}/reversal`, { reason: 'A count was entered twice.' }).expect(200);
  expect(await sendBy(async () => 'sent')).toBe(0);
  expect(await look()).toMatchObject({ waiting: 0, sent: 0, sitesWithoutReceiver: [nobodys['code']] });
});

const payeeOf = async (site: Made): Promise<Made> => {
  const agreements = (await office.get(`/v1/agreements?siteId=${site.id}`).expect(200)).body as { items: { partyId: string }[] };
  return (await office.get(`/v1/parties/${agreements.items[0]?.partyId}`).expect(200)).body as Made;
};
const changePayee = async (site: Made, change: object): Promise<void> => {
  const party = await payeeOf(site);
  await office.patch(`/v1/parties/${party.id}`, change).set('If-Match', `"${String(party['revision'])}"`).expect(200);
};

describe('a payee with an address', () => {
  it('gets the statement in their language, though they have no account, and as a second one only what is another statement', async () => {
    await changePayee(nobodys, { email: 'kasse@muehle.example', locale: 'de-AT' });
    expect(await ask()).toMatchObject({ waiting: 2, sitesWithoutReceiver: [] });
    const mails: StatementMessage[] = [];
    expect(await sendBy(async (mail) => (mails.push(mail), 'sent'))).toBe(2);
    const { number } = await settlementOf(api, { siteId: nobodys.id, startsOn: MARCH });
    const own = mails.find(({ to }) => to.includes('kasse@muehle.example'));
    expect(own?.subject).toMatch(new RegExp(`^Abrechnung ${number} von `));
    expect(own?.text).toContain(`Im Anhang finden Sie die Abrechnung ${number} von `);
    expect(own?.text).toContain('Zeitraum 1. – 31. März 2026');
    expect(own?.attachment.fileName).toBe(`statement-${number}.pdf`);
    await ask({ again: true });
    expect(await sendBy(async () => 'sent')).toBe(0);
  });

  it('who can sign in too, under the same address, gets one copy', async () => {
    await changePayee(own, { email: api.operator.as('site-manager').email.toUpperCase() });
    await ask();
    const to: string[] = [];
    await sendBy(async (mail) => (to.push(...mail.to), 'sent'));
    expect(to).toEqual([api.operator.as('site-manager').email.toUpperCase()]);
    expect(await look()).toMatchObject({ sent: 1, waiting: 0 });
  });

  it('is named as the receiver where the mail was refused, gets it at the address of the day on which it goes out, and what happened to it stands in the audit trail', async () => {
    await changePayee(nobodys, { email: 'old@mill.example' });
    await ask();
    await sendBy(async () => 'refused');
    expect((await look()).troubles).toContainEqual(expect.objectContaining({ siteCode: nobodys['code'], receiver: 'payee', accountId: null, state: 'refused' }));
    await changePayee(nobodys, { email: 'new@mill.example' });
    api.clock.advance({ milliseconds: 2 * MINUTE_MS });
    const to: string[] = [];
    await sendBy(async (mail) => (to.push(...mail.to), 'sent'));
    expect(to).toContain('new@mill.example');
    const { id } = await settlementOf(api, { siteId: nobodys.id, startsOn: MARCH });
    const trail = await asTenant(api.db, api.operator.tenantId, (tx) =>
      tx.sql<{ action: string; after: { state: string } }>("SELECT action, after FROM audit_entry WHERE table_name = 'statement_mail' AND row_id LIKE $1 || '%' ORDER BY id", [id]),
    );
    expect(trail.rows.map(({ action, after }) => `${action} ${after.state}`)).toEqual(['insert waiting', 'update sending', 'update refused', 'update sending', 'update sent']);
  });
});

describe('an address that was missing when the mail was to go out', () => {
  it('is said, and once it is there the mail goes out when somebody asks again', async () => {
    await changePayee(nobodys, { email: 'kasse@muehle.example' });
    await ask();
    await changePayee(nobodys, { email: null });
    expect(await sendBy(async () => 'sent')).toBe(1);
    const { id } = await settlementOf(api, { siteId: nobodys.id, startsOn: MARCH });
    expect(await look()).toMatchObject({ leftOut: 1, troubles: [{ settlementId: id, receiver: 'payee', state: 'left-out' }] });
    // While there is no address, asking changes nothing.
    expect(await ask({ again: true })).toMatchObject({ waiting: 0, leftOut: 1 });
    await changePayee(nobodys, { email: 'neu@muehle.example' });
    expect(await ask()).toMatchObject({ waiting: 0, leftOut: 1 });
    expect(await ask({ again: true })).toMatchObject({ waiting: 1, leftOut: 0, troubles: [] });
    const to: string[] = [];
    expect(await sendBy(async (mail) => (to.push(...mail.to), 'sent'))).toBe(1);
    expect(to).toEqual(['neu@muehle.example']);
    expect(await look()).toMatchObject({ sent: 2, leftOut: 0 });
  });

  it('is counted where it came after the asking, and is no trouble where it would be a second copy or of a reversed statement', async () => {
    expect(await look()).toMatchObject({ notAsked: 1 });
    await changePayee(own, { email: api.operator.as('site-manager').email });
    await ask();
    await sendBy(async () => 'sent');
    expect(await look()).toMatchObject({ sent: 1, leftOut: 0, notAsked: 0, troubles: [] });
    await changePayee(nobodys, { email: 'kasse@muehle.example' });
    expect(await look()).toMatchObject({ notAsked: 1 });
    expect(await ask()).toMatchObject({ waiting: 1, notAsked: 0 });
    await changePayee(nobodys, { email: null });
    await sendBy(async () => 'sent');
    expect(await look()).toMatchObject({ leftOut: 1 });
    const { id } = await settlementOf(api, { siteId: nobodys.id, startsOn: MARCH });
    await office.post(`/v1/settlements/${id}/reversal`, { reason: 'A count was entered twice.' }).expect(200);
    expect(await look()).toMatchObject({ leftOut: 0, troubles: [] });
  });
});

it('sends statements as soon as they are issued, where the operator wants that, once', async () => {
  const owner = api.operator.as('owner');
  const { headers } = await owner.get('/v1/operator').expect(200);
  expect((await owner.patch('/v1/operator', { statementMails: 'sometimes' }).set('If-Match', String(headers['etag'])).expect(400)).body).toMatchObject({ errors: [{ pointer: '#/statementMails' }] });
  expect(await sendBy(async () => 'sent')).toBe(0);
  await owner.patch('/v1/operator', { statementMails: 'when-issued' }).set('If-Match', String(headers['etag'])).expect(200);
  await changePayee(nobodys, { email: 'payee@mill.example' });
  const { id } = await settlementOf(api, { siteId: nobodys.id, startsOn: MARCH });
  await office.post(`/v1/settlements/${id}/reversal`, { reason: 'A count was entered twice.' }).expect(200);
  await settleMissing(api, closeId);
  await issueMonth(api, closeId);
  const to: string[] = [];
  expect(await sendBy(async (mail) => (to.push(...mail.to), 'sent'))).toBe(1);
  expect(to).toEqual(['payee@mill.example']);
  expect(await sendBy(async () => 'sent')).toBe(0);
});
