import { randomUUID } from 'node:crypto';
import type { Retention, RetentionPreview } from '#contracts/retention';
import type { Webhook } from '#contracts/webhook';
import { removeWhatIsOver } from '#backoffice/retention/remove';
import { mailStatements } from '#backoffice/statement-mail/mail-statements';
import { constraintViolationOf } from '#database/constraint';
import { verifyHeld } from '#command/verify-log';
import { trustAnyClock } from '#tests/support/any-clock';
import { startTestApi, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { transmissionOf } from '#tests/support/audit-data';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { onConnection, untilWaiting } from '#tests/support/database';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, etag, makeRunningSite, type Made } from '#tests/support/set-up';

// Operators are of the United States, whose law asks for six years here, and a seventh since their accounting year may end within the
// calendar year: records of 2026 go on 1 January 2034 in Chicago.

let api: TestApi;
/** What asks whether the present can be trusted, as the migrations made it. */
let asMigrated: string;
beforeEach(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  asMigrated = await trustAnyClock(api.db);
});
afterEach(() => api?.close());

const owner = () => api.operator.as('owner');
const retention = async (client: TestClient = owner()) => (await client.get('/v1/retention').expect(200)).body as Retention;
const ruleOf = async (kind: string, client?: TestClient) => (await retention(client)).rules.find((rule) => rule.kind === kind);
const previewOf = async (kind: string, client: TestClient, more = '') => ((await client.get(`/v1/retention/preview?kind=${kind}${more}`).expect(200)).body as RetentionPreview).items[0];
const decide = (client: TestClient, kind: string, keep: number | null) => client.post('/v1/retention', { kind, keep, reason: 'As our adviser said' });
const decideAll = async (client: TestClient, kinds: readonly string[], keep = 7) => {
  for (const kind of kinds) await decide(client, kind, keep).expect(201);
};

/** Removes as the worker would, and fails where it meets trouble. */
const remove = (more: { readonly batch?: number; readonly signal?: AbortSignal } = {}): Promise<number> =>
  removeWhatIsOver(api.backoffice, {
    onTrouble: (error) => {
      throw error;
    },
    ...more,
  });

/** How many rows an operator has; identity stands outside of row security. */
async function rows(table: string, { tenantId, inBooks }: TestOperator = api.operator): Promise<number> {
  const { rows: found } = await inBooks((tx) => tx.sql<{ n: bigint }>(`SELECT count(*) AS n FROM ${table} WHERE tenant_id = $1`, [tenantId]));
  return Number(found[0]?.n ?? 0n);
}

/** A refused file, a token's reports, a webhook's delivery: something of four kinds. */
async function leaveRecords(operator: TestOperator) {
  const [office, boss] = [operator.as('bookkeeper'), operator.as('owner')];
  const inn = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, inn.machine.id);
  const { secret } = (await office.post('/v1/machine-tokens', { machineId: inn.machine.id }).expect(201)).body as { secret: string };
  const reading = (value: string, day: number) => ({ meter: 'Coins', value, readAt: `2026-04-${day}T12:00:00Z` });
  const said = (kind: string, day: number, fault = 'E-12') => ({ kind, happenedAt: `2026-04-${day}T09:00:00Z`, fault });
  const report = { machineTag: inn.machine['tag'], readings: [reading('00200', 10), reading('00300', 11), reading('00400', 12)], events: [said('fault', 10), said('fault-cleared', 11), said('fault', 20, 'E-7')] };
  await api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send(report).expect(200);
  const file = await office.send('POST', '/v1/imports').set('Content-Type', 'text/csv').send('site,collected_on,collected_at,machine,coin,note,refund,handed_to_site\nNOWHERE,2026-03-02,10:00,M-1,12.50,20,1.00,\n').expect(201);
  expect(file.body).toMatchObject({ state: 'refused' });
  const webhook = (await boss.post('/v1/webhooks', { name: 'Accounting', url: 'https://books.example/in', eventTypes: ['settlement.issued'] }).expect(201)).body as Webhook;
  await boss.post(`/v1/webhooks/${webhook.id}/test`).expect(202);
  await operator.inBooks((tx) => tx.sql(`UPDATE webhook_delivery SET state = 'delivered', attempts = 1, due_at = NULL WHERE tenant_id = $1`, [tx.tenantId]));
  await operator.inBooks((tx) => tx.sql(`UPDATE webhook_event SET body = '{}' WHERE tenant_id = $1`, [tx.tenantId]));
  return { inn, meterId, fileId: file.body.id as string };
}

describe('for how long records are kept', () => {
  test('follows the law of the country where nobody decided, and says by which paragraph', async () => {
    expect(await ruleOf('mails')).toMatchObject({ unit: 'years', keep: null, least: 7, isYearAdded: true, law: 'letters', source: expect.stringContaining('26 CFR 1.6001-1(e)'), decided: null });
    expect(await ruleOf('webhooks')).toMatchObject({ unit: 'days', keep: 60, least: 7, law: null, source: null });
    await api.operator.inBooks((tx) => tx.sql(`UPDATE operator SET country = 'DE' WHERE tenant_id = $1`, [tx.tenantId]));
    // AO § 147 (1), (3) as of 2025: letters 6 years, vouchers 8, books and what explains them 10; (4): from the end of the calendar year.
    expect((await retention()).rules.filter(({ unit }) => unit === 'years').map(({ kind, keep, least, isYearAdded }) => [kind, keep, least, isYearAdded])).toEqual([
      ['mails', null, 6, false], ['originals', null, 8, false], ['machine-reports', null, 8, false], ['audit-trail', null, 10, false],
    ]);
    await api.operator.inBooks((tx) => tx.sql(`UPDATE operator SET country = 'BR' WHERE tenant_id = $1`, [tx.tenantId]));
    expect(await retention()).toMatchObject({ country: 'BR', isLawKnown: false });
    expect(await ruleOf('mails')).toMatchObject({ keep: null, least: 11, source: null });
  });

  test('is decided by an owner, never below the law, and of one operator alone', async () => {
    expect((await decide(owner(), 'mails', 12).expect(201)).body.rules.find((rule: { kind: string }) => rule.kind === 'mails')).toMatchObject({ keep: 12, decided: { reason: 'As our adviser said', by: `user:${owner().id}` } });
    await decide(owner(), 'webhooks', null).expect(201);
    expect(await ruleOf('webhooks')).toMatchObject({ keep: null });
    const refused = await decide(owner(), 'audit-trail', 6).expect(422);
    expect(errorsOf(refused)).toEqual(['#/keep below-least']);
    expect(refused.body.errors[0].message).toBe('These are kept for 7 years at least (26 CFR 1.6001-1(e); 26 USC 6501(e)(1); a year more than the law says, because an accounting year may end within a calendar year).');
    expect(errorsOf(await decide(owner(), 'mails', 101).expect(422))).toEqual(['#/keep too-large']);
    expect(errorsOf(await decide(owner(), 'webhooks', 6).expect(422))).toEqual(['#/keep below-least']);
    await decide(api.operator.as('bookkeeper'), 'mails', 20).expect(403);
    expect(await ruleOf('mails', api.other.as('owner'))).toMatchObject({ keep: null, decided: null });
    // An office that moves to where the law asks for more keeps for longer, whatever was decided.
    await decide(owner(), 'originals', 7).expect(201);
    await api.operator.inBooks((tx) => tx.sql(`UPDATE operator SET country = 'CH' WHERE tenant_id = $1`, [tx.tenantId]));
    expect(await ruleOf('originals')).toMatchObject({ keep: 11, least: 11 });
  });
});

describe('what is over', () => {
  test('goes in the first night after its time, as the preview said, and what goes on stays', async () => {
    const { inn, meterId, fileId } = await leaveRecords(api.operator);
    await leaveRecords(api.other);
    await decideAll(owner(), ['machine-reports']);
    const tables = ['machine_report_reading', 'machine_event', 'import_error', 'webhook_event', 'webhook_delivery'];
    const before = await Promise.all(tables.map((table) => rows(table)));
    expect(before).toEqual([3, 3, expect.any(Number), 1, 1]);
    // 23:59 on New Year's Eve in Chicago.
    api.clock.set(new Date('2034-01-01T05:59:00Z'));
    const boss = await api.operator.newMember('owner');
    expect(await previewOf('machine-reports', boss)).toMatchObject({ records: 0, oldest: null, before: '2026-01-01T06:00:00.000Z' });
    expect(await previewOf('imports', boss)).toMatchObject({ records: before[2], oldest: '2026-05-02T15:00:00.000Z' });
    expect(await previewOf('imports', boss, '&keep=3000')).toMatchObject({ records: 0 });
    await remove();
    expect(await Promise.all(tables.map((table) => rows(table)))).toEqual([3, 3, 0, 0, 0]);
    expect((await boss.get(`/v1/imports/${fileId}`).expect(200)).body).toMatchObject({ state: 'refused' });

    api.clock.set(new Date('2034-01-01T06:00:00Z'));
    const preview = await previewOf('machine-reports', boss);
    expect(preview).toMatchObject({ records: 4, oldest: '2026-04-10T09:00:00.000Z', before: '2027-01-01T06:00:00.000Z' });
    await remove();
    // The last reading of a meter stays, and so does a fault of which nobody heard that it is over.
    const shown = (await boss.get(`/v1/machines/${inn.machine.id}/reports`).expect(200)).body;
    expect(shown).toMatchObject({ readings: [{ meterId, value: '400' }], events: [{ kind: 'fault', fault: 'E-7' }] });
    expect((await retention(boss)).runs).toContainEqual(expect.objectContaining({ kind: 'machine-reports', day: '2034-01-01', removed: 4, endedAt: '2034-01-01T06:00:00.000Z' }));
    const trail = (await boss.get('/v1/audit-trail?kind=retention_run').expect(200)).body as { items: object[] };
    expect(trail.items).toContainEqual(expect.objectContaining({ actor: 'system:worker:retention', after: expect.objectContaining({ removed: 4 }) }));
    expect(await rows('machine_report_reading', api.other)).toBe(3);
    expect(await rows('import_error', api.other)).toBe(0);
  });

  test('goes batch by batch: who is stopped in between leaves the rest to the next, and a day is done once', async () => {
    await leaveRecords(api.operator);
    await decideAll(owner(), ['machine-reports']);
    api.clock.set(new Date('2034-02-01T15:00:00Z'));
    await remove({ signal: AbortSignal.abort() });
    expect(await rows('webhook_event')).toBe(1);
    const stop = new AbortController();
    const cut = removeWhatIsOver(
      { ...api.backoffice, clock: { now: () => (stop.abort(), api.clock.now()) } },
      { batch: 1, signal: stop.signal, onTrouble: (error) => expect(error).toBeUndefined() },
    );
    expect(await cut).toBe(1);
    const [whole] = [await rows('machine_event')];
    expect(await remove({ batch: 1 })).toBeGreaterThan(5);
    expect([await rows('webhook_event'), await rows('import_error'), await rows('machine_event')]).toEqual([0, 0, whole - 2]);
    // A second worker of the day finds it done.
    expect(await remove()).toBe(0);
  });

  test('stays whole while a hold stands, whoever asks; and without one the database lets nothing go too early', async () => {
    await leaveRecords(api.operator);
    await decideAll(owner(), ['machine-reports']);
    const id = randomUUID();
    const held = (await owner().post('/v1/retention/holds', { id, reason: 'A dispute with the Weir Inn' }).expect(201)).body as Retention;
    expect(held.holds).toMatchObject([{ id, reason: 'A dispute with the Weir Inn', lifted: null }]);
    expect((await retention(api.other.as('owner'))).holds).toEqual([]);
    await api.other.as('owner').post(`/v1/retention/holds/${id}/lift`, { reason: 'None of ours' }).expect(404);
    api.clock.set(new Date('2040-02-01T15:00:00Z'));
    const boss = await api.operator.newMember('owner');
    expect((await boss.get('/v1/retention/preview').expect(200)).body).toMatchObject({ isHeld: true });
    await remove();
    expect([await rows('machine_event'), await rows('webhook_event')]).toEqual([3, 1]);
    const ask = (kind: string, before: string, at: string) => api.operator.inBooks((tx) => tx.sql('SELECT app.remove_expired($1, $2, 10, $3)', [kind, before, at])).then(() => 'done', (error: unknown) => constraintViolationOf(error)?.constraint);
    expect(await ask('webhooks', '2039-01-01', '2040-02-01')).toBe('retention_hold_stands');
    expect(await rows('retention_run')).toBe(0);
    await boss.post(`/v1/retention/holds/${id}/lift`, { reason: 'It is settled' }).expect(200);
    expect((await boss.post(`/v1/retention/holds/${id}/lift`, { reason: 'Once more' }).expect(409)).body.code).toBe('wrong-state');
    expect(await ask('audit-trail', '2035-01-01', '2040-02-01')).toBe('retention_run_not_too_early');
    expect(await ask('webhooks', '2040-01-30', '2040-02-01')).toBe('retention_run_not_too_early');
    // What a hold had kept is there for the rest of the day: whoever lifted it by mistake can place another.
    await remove();
    expect([await rows('machine_event'), await rows('webhook_event')]).toEqual([3, 1]);
    api.clock.set(new Date('2040-02-02T06:00:00Z'));
    await remove();
    expect([await rows('machine_event'), await rows('webhook_event')]).toEqual([1, 0]);
  });

  test('goes by one function of the database alone: nobody removes by saying so', async () => {
    await leaveRecords(api.operator);
    for (const sql of ['DELETE FROM audit_entry', 'DELETE FROM machine_event', 'DELETE FROM statement_opening', `UPDATE phone_visit SET body = '{}'`, 'UPDATE audit_file SET bytes = NULL, bytes_removed_at = now()', 'DELETE FROM retention_run', 'UPDATE retention_run SET ended_at = now()']) {
      const tried = api.operator.inBooks(async (tx) => {
        await tx.sql(`SELECT set_config('app.removing', 'on', true)`);
        await tx.sql(sql);
      });
      await expect(tried).rejects.toThrow(/permission denied|is refused/);
    }
  });
});

test('of originals the digest stays: what a phone sends again is still known, and the books keep what was taken from it', async () => {
  const [office, collector] = [api.operator.as('bookkeeper'), api.operator.as('collector')];
  const inn = await makeRunningSite(office, { machine: { serialNumber: 'INV-1' } });
  await fitBoard(office, inn.machine.id, { meters: [meterFields({ digits: 8, unitValue: usd('0.01'), mostPerHour: 100_000, value: '90000' })] });
  const device = (await collector.post('/v1/devices', { name: 'Phone' }).expect(201)).body as { id: string; secret: string };
  const envelope = (sequence: number, visit: object) => ({ id: randomUUID(), deviceId: device.id, deviceSecret: device.secret, sequence, visit });
  const entered = envelope(1, { siteId: inn.site.id, happenedAt: '2026-04-10T12:00:00Z', counts: [count(inn.machine, '50.00', '0.00')] });
  const kept = envelope(2, { siteId: inn.site.id, happenedAt: '2026-04-11T12:00:00Z', counts: [{ machineTag: 'NO-SUCH', coin: usd('7.00'), note: usd('0.00') }] });
  const waiting = envelope(3, { siteId: inn.site.id, happenedAt: '2026-04-12T12:00:00Z', counts: [{ machineTag: 'NO-SUCH', coin: usd('8.00'), note: usd('0.00') }] });
  for (const [body, outcome] of [[entered, 'entered'], [kept, 'quarantined'], [waiting, 'quarantined']] as const) expect((await collector.post('/v1/visits', body).expect(201)).body).toMatchObject({ outcome });
  await office.post(`/v1/visits/${kept.id}/discard`, { reason: 'Entered on paper' }).expect(200);
  const query = new URLSearchParams({ collectionId: entered.id }).toString();
  const file = await collector.send('POST', `/v1/audit-files?${query}`).set('Content-Type', 'application/octet-stream').send(Buffer.from(transmissionOf({ serial: 'INV-1', box: [40_00, 940_00] }))).expect(201);
  await collector.post(`/v1/audit-files/${file.body.id as string}/accept`, { machineId: inn.machine.id }).expect(200);
  await office.post(`/v1/collections/${entered.id}/accept`).expect(200);

  await decideAll(owner(), ['originals']);
  api.clock.set(new Date('2034-01-02T15:00:00Z'));
  const boss = await api.operator.newMember('owner');
  expect(await previewOf('originals', boss)).toMatchObject({ records: 3 });
  await remove();
  const gone = { visit: null, removedAt: '2034-01-02T15:00:00.000Z', siteCode: inn.site['code'] };
  expect((await boss.get(`/v1/visits/${entered.id}`).expect(200)).body).toMatchObject({ ...gone, state: 'entered', happenedAt: '2026-04-10T12:00:00Z', collectionId: entered.id });
  expect((await boss.get(`/v1/visits/${kept.id}`).expect(200)).body).toMatchObject({ ...gone, state: 'discarded', problem: { errors: [] } });
  // What nobody has settled yet is not over.
  expect((await boss.get(`/v1/visits/${waiting.id}`).expect(200)).body).toMatchObject({ visit: waiting.visit, removedAt: null });
  expect((await boss.get(`/v1/collections/${entered.id}`).expect(200)).body).toMatchObject({ state: 'accepted', counted: usd('50.00') });
  const files = (await boss.get(`/v1/collections/${entered.id}/audit-files`).expect(200)).body as { items: { state: string; readings: object[] }[] };
  expect(files.items).toMatchObject([{ state: 'accepted', readings: [{ value: '00094000' }] }]);
  const again = await api.operator.inBooks((tx) => tx.sql<{ same: boolean }>('SELECT body_hash = sha256(convert_to($2, \'UTF8\')) AS same FROM phone_visit WHERE tenant_id = $1 AND id = $3', [tx.tenantId, JSON.stringify(entered.visit), entered.id]));
  expect(again.rows).toEqual([{ same: true }]);
});

test('the books stay, prove what they proved, and take what comes late: only the trail of them goes', async () => {
  const office = api.operator.as('bookkeeper');
  const { site, machine } = await makeRunningSite(office);
  await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: moment('2026-03-10') });
  await issueMonth(api, (await closeMonth(api, '2026-03-01')).id);
  const { id } = await settlementOf(api, { siteId: site.id, startsOn: '2026-03-01' });
  const statement = (await office.get(`/v1/settlements/${id}/statement`).expect(200)).body as Buffer;
  const head = (await office.get('/v1/evidence/head').expect(200)).body as { size: number; root: string };
  expect(await rows('audit_entry')).toBeGreaterThan(0);
  // The trail goes by the clock of the database.
  await decideAll(owner(), ['audit-trail', 'mails', 'machine-reports', 'originals']);
  api.clock.set(new Date(Date.now() + 9 * 366 * 86_400_000));
  await remove({ batch: 50 });
  const boss = await api.operator.newMember('owner');
  const left = (await boss.get('/v1/audit-trail?limit=200').expect(200)).body as { items: { kind: string }[] };
  expect(left.items.map(({ kind }) => kind)).not.toContain('machine');
  // A count that comes late is settled as ever: nothing of what it corrects is gone.
  await makeAcceptedCollection(boss, site, [count(machine, '10.00', '0.00')], { happenedAt: moment('2026-03-20') });
  const late = (await boss.get('/v1/late-changes').expect(200)).body as { items: { agreementId: string }[] };
  expect(late.items).toHaveLength(1);
  expect((await boss.get(`/v1/settlements/${id}/statement`).expect(200)).body).toEqual(statement);
  const held = { operatorCode: api.operator.code, head: { size: head.size, root: Buffer.from(head.root, 'hex') } };
  expect(await verifyHeld(api.db.database, held)).toMatchObject({ fits: true });
});

describe('of mails', () => {
  test('stays to whom a statement went, so that asking again sends none twice; who asked and who opened it goes', async () => {
    const [office, boss] = [api.operator.as('bookkeeper'), owner()];
    const { site, machine, party } = await makeRunningSite(office);
    await office.patch(`/v1/parties/${party.id}`, { email: 'weir@inn.example' }).set('If-Match', etag(party)).expect(200);
    await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: moment('2026-03-10') });
    const close = await issueMonth(api, (await closeMonth(api, '2026-03-01')).id);
    const { id } = await settlementOf(api, { siteId: site.id, startsOn: '2026-03-01' });
    const mails = (client: TestClient) => client.post(`/v1/closes/${close.id}/statement-mails`, {});
    const sent: string[] = [];
    const send = () => mailStatements(api.backoffice, { send: async ({ to }) => (sent.push(...to), 'sent' as const), onTrouble: (error) => expect(error).toBeUndefined() });
    await mails(boss);
    await send();
    expect(sent).toContain('weir@inn.example');
    await api.operator.inBooks((tx) => tx.sql('INSERT INTO statement_opening (tenant_id, settlement_id, account_id, opened_at) VALUES ($1, $2, $3, $4)', [tx.tenantId, id, boss.id, api.clock.now()]));
    await decideAll(boss, ['mails']);
    const once = [...sent];

    api.clock.set(new Date('2034-01-02T15:00:00Z'));
    const later = await api.operator.newMember('owner');
    expect(await previewOf('mails', later)).toMatchObject({ records: once.length + 1 });
    await remove();
    expect(await previewOf('mails', later)).toMatchObject({ records: 0 });
    expect(await rows('statement_opening')).toBe(0);
    const kept = await api.operator.inBooks((tx) => tx.sql<{ state: string; asked_by: string | null }>('SELECT state, asked_by FROM statement_mail WHERE tenant_id = $1', [tx.tenantId]));
    expect(kept.rows).toEqual(once.map(() => ({ state: 'sent', asked_by: null })));
    expect((await mails(later)).body).toMatchObject({ waiting: 0, sent: once.length });
    await send();
    expect(sent).toEqual(once);
  });
});

test('of invitations those go that nobody can use any more, with the address, after their days', async () => {
  const invite = async (email: string) => (await owner().post('/v1/invitations', { email, role: 'bookkeeper' }).expect(201)).body as { id: string };
  const [withdrawn] = [await invite('gone@inn.example'), await invite('open@inn.example')];
  await owner().delete(`/v1/open-links/${withdrawn.id}`).expect(204);
  const addresses = async () =>
    (await onConnection(api.db.urls.superuser, (client) => client.query<{ email: string }>(`SELECT email FROM identity.one_use_link WHERE tenant_id = $1 AND email LIKE '%@inn.example' ORDER BY email`, [api.operator.tenantId]))).rows.map(({ email }) => email);
  api.clock.set(new Date('2027-05-02T14:59:00Z'));
  await remove();
  expect(await addresses()).toEqual(['gone@inn.example', 'open@inn.example']);
  // The next day: what was withdrawn is a year old; the other expired later.
  api.clock.set(new Date('2027-05-03T15:00:00Z'));
  await remove();
  expect(await addresses()).toEqual(['open@inn.example']);
  api.clock.set(new Date('2028-05-03T15:00:00Z'));
  await remove();
  expect(await addresses()).toEqual([]);
});

test('what the law speaks of stays until an owner has decided, and then for the rest of that day', async () => {
  await leaveRecords(api.operator);
  api.clock.set(new Date('2040-02-01T15:00:00Z'));
  const boss = await api.operator.newMember('owner');
  const before = [await rows('machine_event'), await rows('audit_entry')];
  expect(await previewOf('machine-reports', boss)).toMatchObject({ before: null, records: 0 });
  await remove();
  expect([await rows('machine_event'), (await rows('audit_entry')) >= (before[1] ?? 0)]).toEqual([3, true]);
  await decide(boss, 'machine-reports', 7).expect(201);
  await remove();
  expect(await rows('machine_event')).toBe(3);
  api.clock.set(new Date('2040-02-02T05:59:00Z'));
  await remove();
  expect(await rows('machine_event')).toBe(3);
  api.clock.set(new Date('2040-02-02T06:00:00Z'));
  await remove();
  expect(await rows('machine_event')).toBe(1);
});

describe('a hold', () => {
  test('is placed at once while something is being removed, and what was under way comes back', async () => {
    await leaveRecords(api.operator);
    api.clock.set(new Date('2040-02-01T15:00:00Z'));
    const boss = await api.operator.newMember('owner');
    const kept = await rows('webhook_event');
    // As the worker stands while its batch runs: removed, and not at the end yet.
    await onConnection(api.db.urls.app, async (client) => {
      await client.query('BEGIN');
      await client.query(`SELECT set_config('app.tenant', $1, true), set_config('app.actor', 'system:worker:retention', true)`, [api.operator.tenantId]);
      await client.query(`DELETE FROM webhook_attempt WHERE tenant_id = $1`, [api.operator.tenantId]);
      await boss.post('/v1/retention/holds', { reason: 'A dispute' }).expect(201);
      await expect(client.query(`SELECT app.remove_expired('webhooks', '2039-01-01', 10, '2040-02-01')`)).rejects.toThrow('a hold stands');
      await client.query('ROLLBACK');
    });
    await remove();
    expect([await rows('webhook_event'), await rows('retention_run')]).toEqual([kept, 0]);
  });

  test('keeps people from being erased, in the database, too', async () => {
    const office = api.operator.as('bookkeeper');
    const person = (await office.post('/v1/people', { code: 'E-77', name: 'Ona Reed', employedBy: 'operator', startedOn: '2025-01-01' }).expect(201)).body as Made;
    await office.patch(`/v1/people/${person.id}`, { leftOn: '2026-04-01' }).set('If-Match', etag(person)).expect(200);
    const device = (await office.post('/v1/retention/holds', { reason: 'Ona Reed disputes it' }).expect(403)).body as { code: string };
    expect(device.code).toBe('not-allowed');
    const id = randomUUID();
    await owner().post('/v1/retention/holds', { id, reason: 'Ona Reed disputes it' }).expect(201);
    expect((await owner().post(`/v1/people/${person.id}/erasure`, { confirmed: [] }).expect(409)).body.code).toBe('must-be-kept');
    const direct = api.operator.inBooks((tx) => tx.sql('SELECT id FROM app.erase_person_texts($1, $2, $3)', [person.id, api.clock.now(), [`retention_hold/reason/${id}`]]));
    await expect(direct).rejects.toThrow('a hold stands');
    await owner().post(`/v1/retention/holds/${id}/lift`, { reason: 'It is over' }).expect(200);
    await owner().post(`/v1/people/${person.id}/erasure`, { confirmed: [] }).expect(201);
  });
});

describe('the database itself', () => {
  const asApp = (sql: string, values: readonly unknown[] = []) => api.operator.inBooks((tx) => tx.sql(sql, values)).then(() => 'done', (error: unknown) => constraintViolationOf(error)?.constraint ?? String(error));
  const removeNow = (kind: string, before: string) => asApp(`SELECT app.remove_expired($1, ${before}, 10, clock_timestamp())`, [kind]);

  test('removes nothing for a program that lies about the present, and nothing too early', async () => {
    await leaveRecords(api.operator);
    // As the migrations made it.
    await onConnection(api.db.urls.owner, (client) => client.query(asMigrated));
    expect(await asApp(`SELECT app.remove_expired('audit-trail', '2100-01-01', 100000, '2110-01-01')`)).toBe('retention_run_not_ahead');
    // Nothing is in the trail yet that is a week old: the clock may be wrong.
    expect(await removeNow('webhooks', `clock_timestamp() - interval '60 days'`)).toBe('retention_run_clock_trusted');
    await onConnection(api.db.urls.superuser, async (client) => {
      await client.query('ALTER TABLE audit_entry DISABLE TRIGGER USER');
      await client.query(`UPDATE audit_entry SET id = app.first_id_at(clock_timestamp() - interval '8 days') WHERE tenant_id = $1 AND id = (SELECT min(id::text)::uuid FROM audit_entry WHERE tenant_id = $1)`, [api.operator.tenantId]);
      await client.query('ALTER TABLE audit_entry ENABLE TRIGGER USER');
    });
    expect(await removeNow('webhooks', `clock_timestamp() - interval '6 days'`)).toBe('retention_run_not_too_early');
    expect(await removeNow('webhooks', 'NULL::timestamptz')).toBe('retention_run_not_too_early');
    expect(await removeNow('audit-trail', `clock_timestamp() - interval '6 years'`)).toBe('retention_run_not_too_early');
    expect(await removeNow('webhooks', `clock_timestamp() - interval '8 days'`)).toBe('done');
    // What it did is written down by itself.
    expect(await rows('retention_run')).toBe(1);
    expect(await asApp('CREATE OR REPLACE FUNCTION app.refuse_doubtful_clock(at timestamptz) RETURNS void LANGUAGE sql RETURN NULL::void')).toMatch(/permission denied|must be owner/);
  });
});

test('a hold is placed while a removal is inside its batch, and what was removed in it stays', async () => {
  await leaveRecords(api.operator);
  api.clock.set(new Date('2040-02-01T15:00:00Z'));
  const boss = await api.operator.newMember('owner');
  await onConnection(api.db.urls.superuser, async (locker) => {
    await locker.query('BEGIN');
    await locker.query('SELECT FROM webhook_delivery WHERE tenant_id = $1 FOR UPDATE', [api.operator.tenantId]);
    const removing = api.operator.inBooks((tx) => tx.sql(`SELECT app.remove_expired('webhooks', '2039-01-01', 10, '2040-02-01')`)).then(() => 'done', (error: unknown) => constraintViolationOf(error)?.constraint);
    await untilWaiting(api.db, 1);
    const placed = await boss.post('/v1/retention/holds', { reason: 'A dispute' });
    await locker.query('ROLLBACK');
    expect([placed.status, await removing]).toEqual([201, 'retention_hold_stands']);
  });
  expect(await rows('webhook_event')).toBe(1);
});
