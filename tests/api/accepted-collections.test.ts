import { randomUUID } from 'node:crypto';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, makeCollection, moment, usd, visit } from '#tests/support/collecting';
import { asTenant } from '#tests/support/database';
import { readLateChanges, writeNumberedPeriod } from '#tests/support/numbered-period';
import { errorsOf, makeParty, makeRunningSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let owner: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
  owner = api.operator.as('owner');
  // News is written down where somebody wants it.
  await owner.post('/v1/webhooks', { name: 'Accounting', url: 'https://books.example/', eventTypes: ['collection.accepted'] }).expect(201);
});
afterAll(() => api?.close());

const collected = (site: Made, counts: object[], more: object = {}) => makeCollection(office, site, counts, more);
const accepted = (site: Made, counts: object[], more: object = {}) => makeAcceptedCollection(office, site, counts, more);
const entriesOf = async (sourceId: string) =>
  (
    await asTenant(api.db, api.operator.tenantId, (tx) =>
      tx.sql<{ account_code: string; amount_minor: bigint }>(
        `SELECT p.account_code, p.amount_minor FROM journal_entry e JOIN journal_posting p ON p.tenant_id = e.tenant_id AND p.journal_entry_id = e.id
          WHERE e.source_id = $1 ORDER BY p.position`,
        [sourceId],
      ),
    )
  ).rows.map((row) => `${row.account_code.split(':')[0] ?? ''} ${row.amount_minor}`);

describe('acceptance', () => {
  it('puts a collection into the books, in a period, in the journal, and for others to take up', async () => {
    const { site, machine, agreement } = await makeRunningSite(office);
    const made = await collected(site, [count(machine)], {
      refunds: [{ machineTag: machine['tag'], refundedOn: '2026-03-04', amount: usd('2.50'), paidBy: 'operator' }],
      cashHanded: [{ amount: usd('20.00') }],
    });
    expect(await entriesOf(made.id)).toEqual([]);
    const answer = await office.post(`/v1/collections/${made.id}/accept`).expect(200);
    expect(answer.body).toMatchObject({ state: 'accepted', acceptedAt: '2026-03-31T12:00:00.000Z', acceptedBy: `user:${office.id}` });
    expect(await entriesOf(made.id)).toEqual(['cash-in-counting-room 13800', 'cash-handed 2000', 'refunds-advanced-by-operator 250', 'takings-to-settle -16050']);
    const { rows } = await asTenant(api.db, api.operator.tenantId, (tx) =>
      tx.sql<{ starts_on: string; ends_before: string }>('SELECT starts_on, ends_before FROM period WHERE agreement_id = $1', [agreement.id]),
    );
    expect(rows).toEqual([{ starts_on: '2026-03-01', ends_before: '2026-04-01' }]);
    const { rows: news } = await asTenant(api.db, api.operator.tenantId, (tx) => tx.sql(`SELECT type FROM webhook_event WHERE subject_id = $1`, [made.id]));
    expect(news).toEqual([{ type: 'collection.accepted' }]);
    expect(await readLateChanges(api.db, { tenantId: api.operator.tenantId, agreementId: agreement.id })).toEqual([]);
  });

  it('happens once, when two people accept at the same moment', async () => {
    const { site, machine } = await makeRunningSite(office);
    const made = await collected(site, [count(machine)]);
    const answers = await Promise.all([office, owner, office].map((client) => client.post(`/v1/collections/${made.id}/accept`)));
    expect(answers.map((answer) => answer.status).sort()).toEqual([200, 403, 403]);
    expect((await entriesOf(made.id)).length).toBe(2);
  });

  it('takes several at once, all or none', async () => {
    const { site, machine } = await makeRunningSite(office);
    const [one, two] = [await collected(site, [count(machine)]), await collected(site, [count(machine)])];
    const open = (await office.post('/v1/collections', visit(site, [])).expect(201)).body as Made;
    const mixed = await office.post('/v1/collections/accept', { collectionIds: [one.id, open.id] }).expect(403);
    expect(mixed.body.code).toBe('not-allowed-in-state');
    await office.post('/v1/collections/accept', { collectionIds: [one.id, randomUUID()] }).expect(404);
    expect((await office.get(`/v1/collections/${one.id}`).expect(200)).body.state).toBe('counted');
    expect((await office.post('/v1/collections/accept', { collectionIds: [one.id, two.id] }).expect(200)).body).toEqual({ accepted: 2 });
  });

  it('is nothing for whoever carried the cash', async () => {
    const { site, machine } = await makeRunningSite(office);
    const collector = api.operator.as('collector');
    const made = (await collector.post('/v1/collections', visit(site, [count(machine)])).expect(201)).body as Made;
    expect((await collector.post(`/v1/collections/${made.id}/accept`).expect(403)).body.code).toBe('not-allowed');
  });

  it('of one that comes too late for its period is noted, to be settled by difference', async () => {
    const { site, machine, agreement } = await makeRunningSite(office);
    const late = { tenantId: api.operator.tenantId, agreementId: agreement.id };
    await writeNumberedPeriod(api.db, { ...late, siteId: site.id, startsOn: '2026-02-01', endsBefore: '2026-03-01' });
    await accepted(site, [count(machine)], { happenedAt: moment('2026-03-02') });
    expect(await readLateChanges(api.db, late)).toEqual([]);
    await accepted(site, [count(machine)], { happenedAt: moment('2026-02-20') });
    // A month that was never settled lies before one that is: it, too, can only be settled by difference.
    await accepted(site, [count(machine)], { happenedAt: moment('2026-01-20') });
    expect(await readLateChanges(api.db, late)).toEqual(['2026-01-01 collection', '2026-02-01 collection']);
  });

  it('waits for a close that holds the period, and then sees what it did', async () => {
    const { site, machine, agreement } = await makeRunningSite(office);
    const place = { tenantId: api.operator.tenantId, agreementId: agreement.id, siteId: site.id, startsOn: '2026-03-01', endsBefore: '2026-04-01' };
    const first = await accepted(site, [count(machine)]);
    expect(first).toMatchObject({ state: 'accepted' });
    const second = await collected(site, [count(machine)]);
    let closeHolds: () => void = () => undefined;
    const held = new Promise<void>((resolve) => (closeHolds = resolve));
    let letGo: () => void = () => undefined;
    const released = new Promise<void>((resolve) => (letGo = resolve));
    const closing = asTenant(api.db, place.tenantId, async (tx) => {
      await tx.sql('SELECT FROM period WHERE agreement_id = $1 AND starts_on = $2 FOR UPDATE', [agreement.id, place.startsOn]);
      closeHolds();
      await released;
      await tx.sql(
        `INSERT INTO settlement (tenant_id, id, agreement_id, site_id, period_id, starts_on, ends_before, kind, state, currency, engine_version,
                                 inputs, inputs_digest, result, result_digest, carries, takings_minor, refunds_minor, tax_minor, charges_minor,
                                 operator_share_minor, site_share_minor, earlier_minor, payable_minor, number_year, number_serial, number,
                                 issued_on, digest, drafted_at, reviewed_at, reviewed_by, numbered_at, accounting_date)
         SELECT tenant_id, $2, agreement_id, site_id, id, starts_on, ends_before, 'regular', 'numbered', 'USD', '1', '{}', '\\x00', '{}', '\\x00', '{}',
                0, 0, 0, 0, 0, 0, 0, 0, 2026, 9999, 'TEST-9999', ends_before, '\\x00', now(), now(), 'system:test', now(), ends_before - 1
           FROM period WHERE agreement_id = $1`,
        [agreement.id, randomUUID()],
      );
    });
    await held;
    const accepting = office.post(`/v1/collections/${second.id}/accept`).then((answer) => answer);
    const early = await Promise.race([accepting.then(() => 'accepted'), new Promise((resolve) => setTimeout(() => resolve('waiting'), 300))]);
    expect(early).toBe('waiting');
    letGo();
    await closing;
    expect((await accepting).status).toBe(200);
    expect(await readLateChanges(api.db, place)).toEqual(['2026-03-01 collection']);
  });

  it('and the end of the agreement do not pass each other unseen', async () => {
    const { site, machine, agreement } = await makeRunningSite(office);
    const made = await collected(site, [count(machine)]);
    const [accepting, ending] = await Promise.all([
      office.post(`/v1/collections/${made.id}/accept`),
      owner.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2026-03-05' }),
    ]);
    const outcome = [accepting.status, ending.status];
    // Whichever came first, the other one sees it: no takings are left without terms.
    expect([[200, 422], [422, 200]]).toContainEqual(outcome);
    if (accepting.status === 422) expect(accepting.body.code).toBe('no-agreement');
    else expect(errorsOf(ending)).toEqual(['#/endedOn collected-later']);
  });

  it('cannot be undone, by the database\'s own word', async () => {
    const { site, machine } = await makeRunningSite(office);
    const made = await accepted(site, [count(machine)]);
    const change = (text: string) => asTenant(api.db, api.operator.tenantId, (tx) => tx.sql(text, [made.id]));
    await expect(change(`UPDATE collection SET accounting_date = local_date WHERE id = $1`)).rejects.toThrow(/accepted/);
    await expect(change(`UPDATE box_count SET coin_minor = 0 WHERE collection_id = $1`)).rejects.toThrow();
    await expect(change(`INSERT INTO cash_handed SELECT tenant_id, uuidv7(), id, site_id, '${String((await makeParty(office)).id)}', currency, 1, NULL, now(), 'x' FROM collection WHERE id = $1`)).rejects.toThrow(/accepted/);
  });
});

describe('a correction', () => {
  const correction = (countId: string, coin: string, more: object = {}) => ({ countId, coin: usd(coin), note: usd('40.00'), reason: 'Counted again in the room', ...more });

  it('leaves the first figure legible, and is made by somebody else', async () => {
    const { site, machine, agreement } = await makeRunningSite(office);
    const made = await accepted(site, [count(machine)]);
    const [first] = made.counts;
    const path = `/v1/collections/${made.id}/corrections`;
    const own = await office.post(path, correction(first?.id ?? '', '118.00')).expect(403);
    expect(own.body.code).toBe('second-person-needed');
    const answer = await owner.post(path, correction(first?.id ?? '', '118.00')).expect(200);
    expect(answer.body).toMatchObject({ counted: usd('158.00'), countedMachines: 1 });
    const [old, corrected] = answer.body.counts as { id: string; recordedBy: string }[];
    expect(old).toMatchObject({ id: first?.id, coin: usd('120.50'), replacedById: corrected?.id, recordedBy: `user:${office.id}` });
    expect(corrected).toMatchObject({ replacesId: first?.id, coin: usd('118.00'), reason: 'Counted again in the room', recordedBy: `user:${owner.id}`, replacedById: null });
    expect(await entriesOf(corrected?.id ?? '')).toEqual(['cash-in-counting-room -250', 'takings-to-settle 250']);
    expect((await entriesOf(made.id)).at(-1)).toBe('takings-to-settle -16050');

    expect((await owner.post(path, correction(first?.id ?? '', '117.00')).expect(409)).body.code).toBe('wrong-state');
    // The correction is the owner's own figure now; the bookkeeper may correct it.
    await office.post(path, correction(corrected?.id ?? '', '119.00')).expect(200);
    expect(await readLateChanges(api.db, { tenantId: api.operator.tenantId, agreementId: agreement.id })).toEqual([]);
  });

  it('of a count that was not accepted yet is anybody\'s, the recorder\'s too, and stays out of the journal', async () => {
    const { site, machine } = await makeRunningSite(office);
    const made = await collected(site, [count(machine)]);
    const answer = await office.post(`/v1/collections/${made.id}/corrections`, correction(made.counts[0]?.id ?? '', '100.00')).expect(200);
    expect(answer.body).toMatchObject({ state: 'counted', counted: usd('140.00') });
    await office.post(`/v1/collections/${made.id}/accept`).expect(200);
    expect(await entriesOf(made.id)).toEqual(['cash-in-counting-room 14000', 'takings-to-settle -14000']);
  });

  it('in a period that is numbered is noted, to be settled by difference', async () => {
    const { site, machine, agreement } = await makeRunningSite(office);
    const late = { tenantId: api.operator.tenantId, agreementId: agreement.id };
    const made = await accepted(site, [count(machine)]);
    await writeNumberedPeriod(api.db, { ...late, siteId: site.id, startsOn: '2026-03-01', endsBefore: '2026-04-01' });
    const first = await owner.post(`/v1/collections/${made.id}/corrections`, correction(made.counts[0]?.id ?? '', '100.00')).expect(200);
    const standing = (first.body.counts as { id: string; replacedById: string | null }[]).find(({ replacedById }) => replacedById === null);
    await office.post(`/v1/collections/${made.id}/corrections`, correction(standing?.id ?? '', '101.00')).expect(200);
    expect(await readLateChanges(api.db, late)).toEqual(['2026-03-01 correction', '2026-03-01 correction']);
  });

  it('needs a reason, a count of this collection, and the site\'s currency', async () => {
    const { site, machine } = await makeRunningSite(office);
    const made = await accepted(site, [count(machine)]);
    const other = await accepted(site, [count(machine)]);
    const path = `/v1/collections/${made.id}/corrections`;
    expect(errorsOf(await owner.post(path, correction(made.counts[0]?.id ?? '', '1.00', { reason: ' ' })).expect(400))).toEqual(['#/reason too-small']);
    const wrong = await owner.post(path, correction(other.counts[0]?.id ?? '', '1.00', { note: { amount: '1.00', currency: 'EUR' } })).expect(422);
    expect(errorsOf(wrong)).toEqual(['#/countId unknown', '#/note/currency other-currency']);
    expect((await api.operator.as('collector').post(path, correction(made.counts[0]?.id ?? '', '1.00')).expect(403)).body.code).toBe('not-allowed');
  });

  it('is made once when two people correct the same count at once', async () => {
    const { site, machine } = await makeRunningSite(office);
    const made = (await api.operator.as('collector').post('/v1/collections', visit(site, [count(machine)])).expect(201)).body as Made & { counts: { id: string }[] };
    await office.post(`/v1/collections/${made.id}/accept`).expect(200);
    const answers = await Promise.all([office, owner].map((client) => client.post(`/v1/collections/${made.id}/corrections`, correction(made.counts[0]?.id ?? '', '90.00'))));
    expect(answers.map((answer) => answer.status).sort()).toEqual([200, 409]);
  });
});
