import { createHash, randomUUID } from 'node:crypto';
import type { Settlement, SettlementPreview } from '#contracts/settlement';
import { canonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';
import { apiForAllTests, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, issueMonth, reviewMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, usd } from '#tests/support/collecting';
import { onConnection } from '#tests/support/connection';
import { etag, goByMeters, makeRunningSite, plainTerms } from '#tests/support/set-up';
import { workDeps } from '#tests/support/work';
import { numberBatch } from '#backoffice/close/number-batch';

const MARCH = '2026-03-01';
let api: TestApi;
let operator: TestOperator;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-04-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  operator = api.operator;
  office = operator.as('bookkeeper');
});

type Running = Awaited<ReturnType<typeof makeRunningSite>>;

/** Terms with a first call, a tax inside, and everything else that the first release settles. */
async function siteWithEverything(): Promise<Running> {
  const running = await makeRunningSite(office);
  const { site, machine, party, agreement } = running;
  await office
    .post(`/v1/tax-areas/${site['taxAreaId'] as string}/rules`, {
      code: 'SALES',
      validFrom: '2025-01-01',
      source: 'Invented for this test.',
      document: {
        method: 'inside', title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'in-base',
        negative: 'zero', capPerMachineMonth: null, components: [{ id: 'state', title: 'State', ratePercent: '4' }, { id: 'county', title: 'County', ratePercent: '0.5' }],
      },
    })
    .expect(201);
  const terms = {
    ...plainTerms({ partyId: party.id }),
    charges: [{ id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'week', amount: '10.00' }, rest: 'lapse' }],
  };
  await office
    .post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2026-02-01', terms, reason: 'A first call' })
    .set('If-Match', etag(agreement))
    .expect(201);
  await makeAcceptedCollection(office, site, [count(machine)], {
    refunds: [{ machineTag: machine['tag'], refundedOn: '2026-03-04', amount: usd('2.50'), paidBy: 'site' }],
    cashHanded: [{ amount: usd('20.00'), acknowledgedBy: 'Kim at the bar' }],
  });
  return running;
}

async function siteWithCash(): Promise<Running> {
  const running = await makeRunningSite(office);
  await makeAcceptedCollection(office, running.site, [count(running.machine)]);
  return running;
}

const readOne = async (client: TestClient, id: string): Promise<Settlement> => (await client.get(`/v1/settlements/${id}`).expect(200)).body as Settlement;
const storedTexts = async (id: string) =>
  (await operator.inBooks((tx) => tx.sql<{ inputs: string; result: string; inputs_digest: Buffer; result_digest: Buffer }>('SELECT inputs, result, inputs_digest, result_digest FROM settlement WHERE id = $1', [id]))).rows[0];
const sha256 = (text: string): string => createHash('sha256').update(text, 'utf8').digest('hex');

describe('a preview', () => {
  it('has the very bytes that a close stores', async () => {
    const { site, agreement } = await siteWithEverything();
    const preview = (await office.post('/v1/settlements/preview', { agreementId: agreement.id, startsOn: '2026-03-15' }).expect(200)).body as SettlementPreview;
    expect((await operator.inBooks((tx) => tx.sql('SELECT FROM settlement'))).rows).toEqual([]);
    await closeMonth(api, MARCH);
    const settlement = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    const stored = await storedTexts(settlement.id);
    expect(preview).toMatchObject({ inputsDigest: stored?.inputs_digest.toString('hex'), resultDigest: stored?.result_digest.toString('hex') });
    expect([sha256(stored?.inputs ?? ''), sha256(stored?.result ?? '')]).toEqual([preview.inputsDigest, preview.resultDigest]);
    for (const part of ['lines', 'totals', 'sentences', 'kind', 'engineVersion'] as const) expect(settlement[part]).toEqual(preview[part]);
  });

  it('shows what is accepted so far, in a period that goes on and with counts that wait', async () => {
    const { site, machine, agreement } = await makeRunningSite(office);
    await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: '2026-04-01T12:00:00-05:00' });
    await makeCollection(office, site, [count(machine, '999.00')], { happenedAt: '2026-04-02T08:00:00-05:00' });
    const preview = (await office.post('/v1/settlements/preview', { agreementId: agreement.id, startsOn: '2026-04-01' }).expect(200)).body as SettlementPreview;
    expect(preview.totals.takings).toEqual(usd('160.50'));
  });

  it('is refused for an agreement that is not there, a day without terms, and behind an unsettled month', async () => {
    const { site, machine, agreement } = await makeRunningSite(office);
    const ask = (body: object) => office.post('/v1/settlements/preview', body);
    expect((await ask({ agreementId: site.id, startsOn: MARCH }).expect(422)).body.errors).toMatchObject([{ pointer: '#/agreementId', code: 'unknown' }]);
    expect((await ask({ agreementId: agreement.id, startsOn: '2024-03-01' }).expect(422)).body.errors).toMatchObject([{ pointer: '#/startsOn', code: 'no-terms' }]);
    await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: '2026-02-10T12:00:00-06:00' });
    expect((await ask({ agreementId: agreement.id, startsOn: MARCH }).expect(409)).body).toMatchObject({ code: 'cannot-be-settled', errors: [{ code: 'earlier-takings-unsettled', values: { day: '2026-02-10' } }] });
  });

  it('is refused, as recomputing is, where what was recorded cannot be settled', async () => {
    const running = await siteWithCash();
    const { site, agreement } = running;
    await closeMonth(api, MARCH);
    const { id } = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    await goByMeters(office, running);
    const problem = { code: 'cannot-be-settled', detail: expect.stringContaining('metered-amount-missing') };
    expect((await office.post('/v1/settlements/preview', { agreementId: agreement.id, startsOn: MARCH }).expect(409)).body).toMatchObject(problem);
    expect((await office.post(`/v1/settlements/${id}/recompute`).expect(409)).body).toMatchObject(problem);
  });
});

describe('a settlement', () => {
  it('says why of every figure, and its figures add up', async () => {
    const { site } = await siteWithEverything();
    await closeMonth(api, MARCH);
    const settlement = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    expect(settlement.lines.length).toBeGreaterThan(10);
    for (const line of settlement.lines) {
      expect(line).toMatchObject({ why: { step: line.step, text: expect.stringMatching(/\S/) } });
      expect([line.label, line.why?.inputs]).toEqual([line.label, expect.arrayContaining([expect.objectContaining({ label: expect.stringMatching(/\S/), value: expect.anything() })])]);
    }
    expect(settlement.lines.map((line) => line.lineNumber)).toEqual(settlement.lines.map((_line, index) => index + 1));
    const minor = (kind: string): bigint =>
      settlement.lines.filter((line) => line.kind === kind).reduce((sum, line) => sum + BigInt(line.amount.amount.replace('.', '')), 0n);
    // 160.50 - 2.50 refunds; 4.5 % inside; 9 days of the first call are covered by the count of the tenth.
    expect(minor('net-takings')).toBe(15_800n);
    expect(minor('net-takings')).toBe(minor('tax') + minor('charge') + minor('share'));
    expect(settlement.totals).toMatchObject({ takings: usd('160.50'), refunds: usd('2.50'), tax: usd('6.80') });
    const site40 = BigInt(settlement.totals.siteShare.amount.replace('.', ''));
    expect(settlement.totals.payable.amount.replace('.', '')).toBe(String(site40 + 250n - 2000n));

    const cash = settlement.lines.find((line) => line.kind === 'cash');
    expect(cash?.why).toMatchObject({ text: 'The counts of the machine, added up.', inputs: [{ value: '160.50' }] });
    const county = settlement.lines.find((line) => line.label === 'Tax: County');
    expect(county?.why).toMatchObject({ step: 'tax', rule: 'Sales tax, in force from 1 January 2025 (Invented for this test.)', exact: expect.stringMatching(/^0\.75\d+/) });
    expect(settlement.sentences.join(' ')).toContain('takes the first 10.00 USD a week');
  });

  it('is stored as canonical texts that compute again to the same bytes', async () => {
    const { site } = await siteWithEverything();
    await closeMonth(api, MARCH);
    const stored = await storedTexts((await settlementOf(api, { siteId: site.id, startsOn: MARCH })).id);
    for (const text of [stored?.inputs ?? '', stored?.result ?? '']) expect(canonicalJson(JSON.parse(text) as CanonicalValue)).toBe(text);
  });

  it('is reviewed by who has seen what it says now', async () => {
    const { site, machine } = await siteWithCash();
    await closeMonth(api, MARCH);
    const draft = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    const review = (revision: number) => office.post(`/v1/settlements/${draft.id}/review`).set('If-Match', `"${revision}"`);
    expect((await office.post(`/v1/settlements/${draft.id}/review`).expect(428)).body.code).toBe('version-missing');
    await makeAcceptedCollection(office, site, [count(machine)]);
    const stale = await review(draft.revision).expect(409);
    expect(stale.body).toMatchObject({ code: 'draft-is-stale', detail: 'Changed since the draft: counts.' });

    const again = (await office.post(`/v1/settlements/${draft.id}/recompute`).expect(200)).body as Settlement;
    expect(again).toMatchObject({ state: 'draft', revision: draft.revision + 1, totals: { takings: usd('321.00') } });
    expect((await review(draft.revision).expect(412)).body.code).toBe('changed-meanwhile');
    const reviewed = await review(again.revision).expect(200);
    expect(reviewed.body).toMatchObject({ state: 'reviewed' });
    expect(reviewed.headers['etag']).toBe(`"${again.revision + 1}"`);
    expect((await review(again.revision + 1).expect(403)).body.code).toBe('not-allowed-in-state');
  });

  it.each([
    ['terms', async ({ agreement, party }: Running) => {
      const terms = plainTerms({ partyId: party.id, operatorPercent: '50', sitePercent: '50' });
      await office.post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2026-03-05', terms, reason: 'New shares' }).set('If-Match', etag(agreement)).expect(201);
    }],
    ['tax rules', async ({ site }: Running) => {
      const document = {
        method: 'on-takings', title: 'Levy', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'not-in-base', negative: 'zero',
        capPerMachineMonth: null, rounding: 'apart', components: [{ id: 'levy', title: 'Levy', ratePercent: '5', machineKinds: 'all' }],
      };
      await office.post(`/v1/tax-areas/${site['taxAreaId'] as string}/rules`, { code: 'LEVY', validFrom: '2026-03-01', document }).expect(201);
    }],
  ])('is stale when %s change', async (what, change) => {
    const running = await siteWithCash();
    await closeMonth(api, MARCH);
    const draft = await settlementOf(api, { siteId: running.site.id, startsOn: MARCH });
    await change(running);
    const answer = await office.post(`/v1/settlements/${draft.id}/review`).set('If-Match', etag(draft)).expect(409);
    expect(answer.body).toMatchObject({ code: 'draft-is-stale', detail: expect.stringContaining(what) });
  });

  it('goes back to draft with a note that its history keeps', async () => {
    const { site } = await siteWithCash();
    const close = await closeMonth(api, MARCH);
    await reviewMonth(api, close.id);
    const { id } = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    await office.post(`/v1/settlements/${id}/reopen`, {}).expect(400);
    const reopened = (await office.post(`/v1/settlements/${id}/reopen`, { note: 'The slip of the tenth is missing.' }).expect(200)).body as Settlement;
    expect(reopened.state).toBe('draft');
    expect(reopened.history.at(-1)).toMatchObject({ kind: 'reopened', note: 'The slip of the tenth is missing.', happenedBy: `user:${office.id}` });
    expect((await issueMonth(api, close.id)).progress.issued).toBe(1);
    for (const change of ['reopen', 'recompute']) {
      const body = change === 'reopen' ? { note: 'Too late for this.' } : undefined;
      expect((await office.post(`/v1/settlements/${id}/${change}`, body).expect(403)).body.code).toBe('not-allowed-in-state');
    }
  });

  /** A draft like another settlement, without lines, for what is tried by moving lines into one. */
  async function draftBeside(id: string): Promise<string> {
    const beside = randomUUID();
    await operator.inBooks((tx) =>
      tx.sql(
        `INSERT INTO settlement (tenant_id, id, agreement_id, site_id, period_id, starts_on, ends_before, round, kind, state, currency, engine_version,
                                 inputs, inputs_digest, result, result_digest, carries, takings_minor, refunds_minor, tax_minor, charges_minor,
                                 operator_share_minor, site_share_minor, earlier_minor, payable_minor, drafted_at)
         SELECT tenant_id, $2, agreement_id, site_id, period_id, starts_on, ends_before, 9, kind, 'draft', currency, engine_version,
                inputs, inputs_digest, result, result_digest, carries, 0, 0, 0, 0, 0, 0, 0, 0, drafted_at FROM settlement WHERE id = $1`,
        [id, beside],
      ),
    );
    return beside;
  }

  it('never changes once it has a number, whoever tries by SQL', async () => {
    const { site } = await siteWithCash();
    const close = await closeMonth(api, MARCH);
    await issueMonth(api, close.id);
    const { id } = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    const draft = await draftBeside(id);
    const posting = (entry: string, position: number, amount: number): string =>
      `(SELECT tenant_id, ${entry}, ${position}, account_code, currency, ${amount} FROM journal_posting LIMIT 1)`;
    const entry = '(SELECT id FROM journal_entry ORDER BY id LIMIT 1)';
    const attempts = [
      [`UPDATE settlement SET payable_minor = payable_minor + 1 WHERE id = '${id}'`, 'has a number and cannot change'],
      [`UPDATE settlement SET state = 'reviewed', number = NULL, issued_at = NULL, numbered_at = NULL WHERE id = '${id}'`, 'has a number and cannot change'],
      [`DELETE FROM settlement_line WHERE settlement_id = '${id}'`, 'no draft cannot change'],
      [`UPDATE settlement_line SET amount_minor = 1 WHERE settlement_id = '${id}'`, 'no draft cannot change'],
      [`UPDATE settlement_line SET settlement_id = '${draft}' WHERE settlement_id = '${id}'`, 'no draft cannot change'],
      [`DELETE FROM settlement WHERE id = '${id}'`, 'has a number and cannot change'],
      [`UPDATE statement SET pdf = '' WHERE settlement_id = '${id}'`, 'is refused'],
      [`UPDATE journal_posting SET amount_minor = 0`, 'is refused'],
      [`INSERT INTO journal_posting ${posting(entry, 901, 500)} UNION ALL ${posting(entry, 902, -500)}`, 'is written already'],
      [`DELETE FROM evidence_leaf`, 'is refused'],
      [
        `INSERT INTO box_count SELECT tenant_id, '${randomUUID()}', collection_id, site_id, placement_id, machine_id, part + 1, removal, currency,
                                      1, 1, id, 'a count of another part', recorded_at, recorded_by FROM box_count LIMIT 1`,
        'takes the place of a count of the same box',
      ],
    ] as const;
    for (const [sql] of attempts) await expect(operator.inBooks((tx) => tx.sql(sql))).rejects.toThrow();
    // A superuser has every grant and passes by row security: what stops it is the trigger, by its own words.
    await onConnection(api.db.urls.superuser, async (client) => {
      for (const [sql, message] of attempts) await expect(client.query(sql)).rejects.toThrow(message);
    });
  });
});

describe('the statement of a settlement', () => {
  const ask = (client: TestClient, id: string) => client.get(`/v1/settlements/${id}/statement`);

  it('is there once it is issued, and not before', async () => {
    const { site } = await siteWithCash();
    const close = await closeMonth(api, MARCH);
    const { id } = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    expect((await ask(office, id).expect(409)).body).toMatchObject({ code: 'statement-not-issued', detail: 'The settlement is draft.' });
    await reviewMonth(api, close.id);
    expect((await ask(office, id).expect(409)).body.code).toBe('statement-not-issued');

    await office.post(`/v1/closes/${close.id}/issue`).expect(202);
    const { rows } = await operator.inBooks((tx) => tx.sql<{ id: string }>(`SELECT id FROM work_batch WHERE task = 'number' AND state = 'waiting'`));
    for (const batch of rows) await numberBatch(workDeps(api.backoffice), { tenantId: operator.tenantId, batchId: batch.id });
    const preparing = await ask(office, id).expect(503);
    expect(preparing.body.code).toBe('statement-in-preparation');
    expect(preparing.headers['retry-after']).toBe('2');
    expect(await readOne(office, id)).toMatchObject({ state: 'numbered', statement: { available: false, digest: null } });

    await operator.work();
    const file = await ask(office, id).expect(200);
    expect(file.headers['content-type']).toBe('application/pdf');
    expect(file.headers['content-disposition']).toContain(`statement-${operator.code.toUpperCase()}-2026-000001.pdf`);
    const bytes = file.body as Buffer;
    expect(bytes.subarray(0, 5).toString()).toBe('%PDF-');
    expect((await readOne(office, id)).statement).toEqual({ available: true, digest: createHash('sha256').update(bytes).digest('hex') });
  });
});

describe('words about a settlement', () => {
  it('hold a draft back from every review until it is released', async () => {
    const running = await siteWithCash();
    const close = await closeMonth(api, MARCH);
    const draft = await settlementOf(api, { siteId: running.site.id, startsOn: MARCH });
    const say = (what: string, note: string) => office.post(`/v1/settlements/${draft.id}/${what}`, { note });
    expect((await say('release', 'All is well.').expect(409)).body).toMatchObject({ code: 'wrong-state', detail: 'It is not held.' });
    await say('hold', 'The count looks odd.').expect(200);
    await say('hold', 'Still odd.').expect(409);
    const { items } = (await office.get(`/v1/month-end/agreements?cycle=month&startsOn=${MARCH}`).expect(200)).body as { items: { heldBecause: string | null }[] };
    expect(items.map(({ heldBecause }) => heldBecause)).toEqual(['The count looks odd.']);
    const review = () => office.post(`/v1/settlements/${draft.id}/review`).set('If-Match', etag(draft));
    expect((await review().expect(409)).body).toMatchObject({ code: 'settlement-held', detail: 'Held: The count looks odd.' });
    expect((await reviewMonth(api, close.id)).failures).toMatchObject([{ code: 'settlement-held' }]);
    const released = (await say('release', 'Counted again.').expect(200)).body as Settlement;
    expect(released.history.map(({ kind, note }) => [kind, note])).toEqual([['drafted', null], ['held', 'The count looks odd.'], ['released', 'Counted again.']]);
    await review().expect(200);
  });

  it('carry a question of the site to the office, and the answer back, without changing a figure', async () => {
    const running = await makeRunningSite(office, { site: { id: operator.siteId } });
    await makeAcceptedCollection(office, running.site, [count(running.machine)]);
    await issueMonth(api, (await closeMonth(api, MARCH)).id);
    const issued = await settlementOf(api, { siteId: running.site.id, startsOn: MARCH });
    const site = operator.as('site-manager');
    const asked = async () => ((await office.get('/v1/settlements?question=open').expect(200)).body as { items: { id: string; question: string }[] }).items.map(({ id, question }) => [id, question]);
    await office.post(`/v1/settlements/${issued.id}/answer`, { note: 'Nobody has asked.' }).expect(409);
    await site.post(`/v1/settlements/${issued.id}/question`, { note: 'Why is it less than last month?' }).expect(200);
    await site.post(`/v1/settlements/${issued.id}/question`, { note: 'Hello?' }).expect(409);
    expect(await asked()).toEqual([[issued.id, 'Why is it less than last month?']]);
    await office.post(`/v1/settlements/${issued.id}/answer`, { note: 'One machine was away for two weeks.' }).expect(200);
    expect(await asked()).toEqual([]);
    const seen = (await site.get(`/v1/settlements/${issued.id}`).expect(200)).body as Settlement;
    expect(seen.history.map(({ kind, note, happenedBy }) => [kind, note, happenedBy === 'operator'])).toEqual([
      ['issued', null, true], ['questioned', 'Why is it less than last month?', false], ['answered', 'One machine was away for two weeks.', true],
    ]);
    expect({ ...seen, history: [] }).toMatchObject({ digest: issued.digest, totals: issued.totals });
  });
});
