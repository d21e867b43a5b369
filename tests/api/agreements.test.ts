import { randomUUID } from 'node:crypto';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { readLateChanges, writeNumberedPeriod } from '#tests/support/numbered-period';
import { errorsOf, etag, makeAgreement, makeParty, makeSite, makeTaxArea, nextCode, plainTerms, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

async function siteAndParty(fields: object = {}) {
  return { site: await makeSite(office, fields), party: await makeParty(office) };
}

async function agreed(fields: object = {}) {
  const { site, party } = await siteAndParty();
  const agreement = await makeAgreement(office, { siteId: site.id, partyId: party.id, ...fields });
  return { site, party, agreement };
}

const command = (site: Made, party: Made, fields: object = {}) => ({
  code: nextCode('A'),
  siteId: site.id,
  partyId: party.id,
  startedOn: '2025-01-01',
  terms: plainTerms({ partyId: party.id }),
  ...fields,
});

const versionsOf = async (agreement: Made, query = '') => (await office.get(`/v1/agreements/${agreement.id}/versions${query}`).expect(200)).body.items as { id: string; effectiveFrom: string; withdrawnAt: string | null; sentences: string[] }[];

describe('an agreement', () => {
  it('is recorded with its first terms, found and changed', async () => {
    const { site, party } = await siteAndParty({ name: 'The Gilded Anchor' });
    const landlord = await makeParty(office, { name: 'Harbour Trust' });
    const made = await office.post('/v1/agreements', command(site, party, { otherPartyIds: [landlord.id] })).expect(201);
    expect(made.body).toMatchObject({
      siteCode: site['code'], siteName: 'The Gilded Anchor', partyName: party['name'], otherPartyIds: [landlord.id], startedOn: '2025-01-01', endedOn: null, revision: 1,
    });
    expect((await office.get('/v1/agreements?search=gilded').expect(200)).body.items).toEqual([made.body]);
    const [first] = await versionsOf(made.body);
    expect(first).toMatchObject({ effectiveFrom: '2025-01-01', terms: plainTerms({ partyId: party.id }), withdrawnAt: null });
    expect(first?.sentences.join(' ')).toContain(String(party['name']));

    const another = await makeParty(office);
    const changed = await office.patch(`/v1/agreements/${made.body.id}`, { otherPartyIds: [landlord.id, another.id] }).set('If-Match', '"1"').expect(200);
    expect(new Set(changed.body.otherPartyIds)).toEqual(new Set([landlord.id, another.id]));
    const fewer = await office.patch(`/v1/agreements/${made.body.id}`, { otherPartyIds: [] }).set('If-Match', '"2"').expect(422);
    expect(errorsOf(fewer)).toEqual(['#/otherPartyIds party-missing']);
  });

  it('holds alone at its site, and names the one that holds already', async () => {
    const { site, party, agreement } = await agreed();
    const second = await office.post('/v1/agreements', command(site, party, { startedOn: '2025-09-01' })).expect(422);
    expect(errorsOf(second)).toEqual(['#/startedOn other-agreement']);
    expect(second.body.errors[0].message).toContain(agreement['code']);
    // The site is sold in mid-month: one agreement ends on the day on which the next begins.
    await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2025-09-15' }).expect(200);
    await office.post('/v1/agreements', command(site, party, { startedOn: '2025-09-15' })).expect(201);
    const reopened = await office.patch(`/v1/agreements/${agreement.id}`, { endedOn: null }).set('If-Match', '"2"').expect(422);
    expect(errorsOf(reopened)).toEqual(['#/endedOn other-agreement']);
    expect((await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2025-09-10' }).expect(409)).body.code).toBe('wrong-state');
  });

  it('is recorded once when two people do it at once', async () => {
    const { site, party } = await siteAndParty();
    const answers = await Promise.all([1, 2, 3].map(() => office.post('/v1/agreements', command(site, party))));
    expect(answers.map((answer) => answer.status).sort()).toEqual([201, 422, 422]);
  });

  it('begins when the site is open, with parties of this operator', async () => {
    const { site, party } = await siteAndParty({ openedOn: '2025-03-01' });
    const theirs = await makeParty(api.other.as('owner'));
    const answer = await office.post('/v1/agreements', command(site, theirs, { otherPartyIds: [party.id, theirs.id, randomUUID()] })).expect(422);
    expect(errorsOf(answer)).toEqual(['#/partyId unknown', '#/otherPartyIds/1 listed-twice', '#/otherPartyIds/2 unknown', '#/startedOn before-site-opened']);
    expect(errorsOf(await office.post('/v1/agreements', command({ ...site, id: randomUUID() }, party)).expect(422))).toEqual(['#/siteId unknown']);
  });

  it('does not end before it begins, nor before its last terms', async () => {
    const { party, agreement } = await agreed();
    expect(errorsOf(await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2025-01-01' }).expect(422))).toEqual(['#/endedOn not-after-start']);
    await office.post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2026-05-01', terms: plainTerms({ partyId: party.id }) }).expect(201);
    expect(errorsOf(await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2026-05-01' }).expect(422))).toEqual(['#/endedOn terms-later']);
  });

  it('is seen by the manager of its site, and unknown to other operators', async () => {
    const own = await makeSite(office, { id: api.operator.siteId });
    const party = await makeParty(office);
    const here = await makeAgreement(office, { siteId: own.id, partyId: party.id });
    const { agreement: there } = await agreed();
    const manager = api.operator.as('site-manager');
    await manager.get(`/v1/agreements/${here.id}/versions`).expect(200);
    await manager.get(`/v1/agreements/${there.id}`).expect(404);
    await manager.get(`/v1/agreements/${there.id}/versions`).expect(404);
    expect((await manager.get('/v1/agreements').expect(200)).body.items.map((row: Made) => row.id)).toEqual([here.id]);
    await api.other.as('owner').get(`/v1/agreements/${here.id}`).expect(404);
    await api.other.as('owner').post(`/v1/agreements/${here.id}/versions`, { effectiveFrom: '2025-05-01', terms: plainTerms({ partyId: party.id }) }).expect(404);
  });
});

describe('terms', () => {
  const wrongTerms = async (change: (terms: { [field: string]: unknown }, party: Made) => object) => {
    const { site, party } = await siteAndParty();
    const terms = { ...plainTerms({ partyId: party.id }) } as { [field: string]: unknown };
    return office.post('/v1/agreements', command(site, party, { terms: { ...terms, ...change(terms, party) } }));
  };

  it.each<[string, Parameters<typeof wrongTerms>[0], string]>([
    ['shares that make 99.999999999', (_, p) => ({ split: { kind: 'shares', shares: [{ party: 'operator', percent: '60' }, { party: p.id, percent: '39.999999999' }] } }), '#/terms/split/shares shares-not-hundred'],
    ['shares that make more than 100', (_, p) => ({ split: { kind: 'shares', shares: [{ party: 'operator', percent: '60' }, { party: p.id, percent: '41' }] } }), '#/terms/split/shares shares-not-hundred'],
    ['a share for nobody in particular', () => ({ split: { kind: 'shares', shares: [{ party: 'operator', percent: '60' }, { party: 'landlord', percent: '40' }] } }), '#/terms/split/shares/1/party party-unknown'],
    ['another currency than the site', () => ({ currency: 'EUR' }), '#/terms/currency currency-not-of-the-site'],
    ['another party than the agreement', (_, p) => ({ parties: [{ id: 'operator', role: 'operator' }, { id: p.id, role: 'other' }] }), '#/terms/parties needs-one-site'],
    ['an operator under another id', (terms) => ({ parties: [{ id: 'us', role: 'operator' }, ...(terms['parties'] as object[]).slice(1)] }), '#/terms/parties/0/id not-the-operator'],
    ['a party that the agreement does not list', (terms) => ({ parties: [...(terms['parties'] as object[]), { id: randomUUID(), role: 'other' }] }), '#/terms/parties/2/id not-of-agreement'],
    ['card takings by day between visits', () => ({ cycle: { kind: 'visit' } }), '#/terms/cashless visit-needs-by-collection'],
    [
      'a charge that no statement can print',
      () => ({ charges: [{ id: 'fee', title: '費', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'week', amount: '75.00' }, rest: 'lapse' }] }),
      '#/terms/charges/0/title not-printable',
    ],
    [
      'a charge of nothing',
      () => ({ charges: [{ id: 'fee', title: 'Fee', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'week', amount: '0.00' }, rest: 'lapse' }] }),
      '#/terms/charges/0/amount/amount amount-out-of-range',
    ],
  ])('are refused with %s', async (_case, change, expected) => {
    const answer = await wrongTerms(change);
    expect(answer.status).toBe(422);
    expect(errorsOf(answer)).toContain(expected);
  });

  it.each<[string, Parameters<typeof wrongTerms>[0], string]>([
    ['an unknown kind of split', () => ({ split: { kind: 'thirds' } }), '#/terms/split/kind no-known-form'],
    ['an amount with too many digits', () => ({ payout: { smallest: '1.005', negative: 'carry', smallestCoin: null } }), '#/terms/payout/smallest wrong-digits'],
    ['ten places of a percentage', (_, p) => ({ split: { kind: 'shares', shares: [{ party: p.id, percent: '33.3333333333' }] } }), '#/terms/split/shares/0/percent not-valid'],
  ])('are not even read with %s', async (_case, change, expected) => {
    const answer = await wrongTerms(change);
    expect(answer.status).toBe(400);
    expect(errorsOf(answer)).toContain(expected);
  });

  it('are checked and said in plain words without being recorded', async () => {
    const { site, party, agreement } = await agreed();
    const firstCall = { id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'week', amount: '75.00' }, rest: 'lapse' };
    const terms = { ...plainTerms({ partyId: party.id, operatorPercent: '50', sitePercent: '50' }), charges: [firstCall] };
    const checked = await office.post('/v1/agreements/terms/check', { terms, agreementId: agreement.id }).expect(200);
    expect(checked.body.problems).toEqual([]);
    expect(checked.body.sentences).toContain('Test operator takes the first 75.00 a week.');
    expect(checked.body.sentences.join(' ')).toContain(`${String(party['name'])} 50`);
    const wrong = await office.post('/v1/agreements/terms/check', { terms: { ...terms, currency: 'EUR' }, siteId: site.id }).expect(200);
    expect(wrong.body).toMatchObject({ problems: [{ pointer: '#/terms/currency', code: 'currency-not-of-the-site' }], sentences: [] });
    expect(await versionsOf(agreement)).toHaveLength(1);
  });
});

describe('a version', () => {
  it('holds from its day on, and is the only one from that day', async () => {
    const { party, agreement } = await agreed();
    const path = `/v1/agreements/${agreement.id}/versions`;
    const terms = plainTerms({ partyId: party.id, operatorPercent: '55', sitePercent: '45' });
    await office.post(path, { effectiveFrom: '2025-06-10', terms }).expect(201);
    expect(errorsOf(await office.post(path, { effectiveFrom: '2025-06-10', terms }).expect(422))).toEqual(['#/effectiveFrom other-version']);
    expect(errorsOf(await office.post(path, { effectiveFrom: '2024-12-31', terms }).expect(422))).toEqual(['#/effectiveFrom before-agreement']);
    expect((await versionsOf(agreement)).map((version) => version.effectiveFrom)).toEqual(['2025-06-10', '2025-01-01']);
    await office.post(`/v1/agreements/${agreement.id}/end`, { endedOn: '2025-09-01' }).expect(200);
    expect(errorsOf(await office.post(path, { effectiveFrom: '2025-09-01', terms }).expect(422))).toEqual(['#/effectiveFrom after-agreement']);
  });

  it('is recorded once when two people record one from the same day at once', async () => {
    const { party, agreement } = await agreed();
    const body = { effectiveFrom: '2025-06-10', terms: plainTerms({ partyId: party.id }) };
    const answers = await Promise.all([1, 2, 3].map(() => office.post(`/v1/agreements/${agreement.id}/versions`, body)));
    expect(answers.map((answer) => answer.status).sort()).toEqual([201, 422, 422]);
  });

  it('that was wrong is replaced and stays legible', async () => {
    const { party, agreement } = await agreed();
    const path = `/v1/agreements/${agreement.id}/versions`;
    const [first] = await versionsOf(agreement);
    const terms = plainTerms({ partyId: party.id, operatorPercent: '50', sitePercent: '50' });
    expect(errorsOf(await office.post(path, { effectiveFrom: '2025-02-01', terms, replaces: first?.id }).expect(422))).toEqual(['#/effectiveFrom leaves-gap']);
    expect(errorsOf(await office.post(path, { effectiveFrom: '2025-01-01', terms, replaces: randomUUID() }).expect(422))).toEqual(['#/replaces unknown']);
    await office.post(path, { effectiveFrom: '2025-01-01', terms, replaces: first?.id }).expect(201);
    expect(await versionsOf(agreement)).toHaveLength(1);
    const all = await versionsOf(agreement, '?withdrawn=yes');
    expect(all.filter((version) => version.withdrawnAt !== null).map((version) => version.id)).toEqual([first?.id]);
  });

  it('changes the cycle only where periods of both begin', async () => {
    const { party, agreement } = await agreed();
    const path = `/v1/agreements/${agreement.id}/versions`;
    const fourWeeks = (anchor: string) => plainTerms({ partyId: party.id, cycle: { kind: 'four-weeks', anchor } });
    expect(errorsOf(await office.post(path, { effectiveFrom: '2026-05-04', terms: fourWeeks('2026-05-04') }).expect(422))).toEqual(['#/terms/cycle cycle-within-period']);
    await office.post(path, { effectiveFrom: '2026-05-01', terms: fourWeeks('2026-05-01') }).expect(201);
  });

  it('that reaches into settled periods needs a reason and a yes, and has them settled again', async () => {
    const { site, party, agreement } = await agreed();
    const path = `/v1/agreements/${agreement.id}/versions`;
    for (const [startsOn, endsBefore] of [['2025-11-01', '2025-12-01'], ['2025-12-01', '2026-01-01'], ['2026-01-01', '2026-02-01']] as const) {
      await writeNumberedPeriod(api.db, { tenantId: api.operator.tenantId, agreementId: agreement.id, siteId: site.id, startsOn, endsBefore });
    }
    const late = { tenantId: api.operator.tenantId, agreementId: agreement.id };
    const terms = plainTerms({ partyId: party.id, operatorPercent: '50', sitePercent: '50' });
    const silent = await office.post(path, { effectiveFrom: '2025-12-10', terms }).expect(422);
    expect(errorsOf(silent)).toEqual(['#/confirmRetroactive reaches-into-settled-periods', '#/reason missing']);
    const unsaid = await office.post(path, { effectiveFrom: '2025-12-10', terms, reason: 'Signed late' }).expect(422);
    expect(errorsOf(unsaid)).toEqual(['#/confirmRetroactive reaches-into-settled-periods']);
    expect(await readLateChanges(api.db, late)).toEqual([]);
    expect(await versionsOf(agreement)).toHaveLength(1);

    await office.post(path, { effectiveFrom: '2025-12-10', terms, reason: 'Signed late', confirmRetroactive: true }).expect(201);
    expect(await readLateChanges(api.db, late)).toEqual(['2025-12-01 terms', '2026-01-01 terms']);
    // After the last settled period nothing needs to be said.
    await office.post(path, { effectiveFrom: '2026-02-01', terms }).expect(201);
    // Terms between two versions reach as far as the next one.
    await office.post(path, { effectiveFrom: '2025-11-20', terms, reason: 'A letter was found', confirmRetroactive: true }).expect(201);
    expect(await readLateChanges(api.db, late)).toEqual(['2025-11-01 terms', '2025-12-01 terms', '2025-12-01 terms', '2026-01-01 terms']);
  });
});

describe('a tax rule that reaches into settled periods', () => {
  it('needs a reason and a yes, and has the periods of the area settled again', async () => {
    const area = await makeTaxArea(office);
    const { site, party } = await siteAndParty({ taxAreaId: area.id });
    const agreement = await makeAgreement(office, { siteId: site.id, partyId: party.id });
    await writeNumberedPeriod(api.db, { tenantId: api.operator.tenantId, agreementId: agreement.id, siteId: site.id, startsOn: '2026-01-01', endsBefore: '2026-02-01' });
    const rule = {
      code: 'SALES', validFrom: '2026-01-15',
      document: {
        method: 'inside', title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'not-in-base',
        negative: 'zero', capPerMachineMonth: null, components: [{ id: 'state', title: 'State', ratePercent: '4' }],
      },
    };
    const path = `/v1/tax-areas/${area.id}/rules`;
    expect(errorsOf(await office.post(path, rule).expect(422))).toEqual(['#/confirmRetroactive reaches-into-settled-periods', '#/reason missing']);
    const made = await office.post(path, { ...rule, reason: 'Published late', confirmRetroactive: true }).expect(201);
    const late = { tenantId: api.operator.tenantId, agreementId: agreement.id };
    expect(await readLateChanges(api.db, late)).toEqual(['2026-01-01 tax']);
    expect(errorsOf(await office.post(`${path}/${made.body.id}/end`, { validTo: '2026-01-20' }).expect(422))).toEqual(['#/confirmRetroactive reaches-into-settled-periods', '#/reason missing']);
    await office.post(`${path}/${made.body.id}/end`, { validTo: '2026-01-20', reason: 'Repealed', confirmRetroactive: true }).expect(200);
    expect(await readLateChanges(api.db, late)).toEqual(['2026-01-01 tax', '2026-01-01 tax']);
  });
});

test('a site that was settled keeps its tax area', async () => {
  const { site, party } = await siteAndParty();
  const agreement = await makeAgreement(office, { siteId: site.id, partyId: party.id });
  await writeNumberedPeriod(api.db, { tenantId: api.operator.tenantId, agreementId: agreement.id, siteId: site.id, startsOn: '2026-01-01', endsBefore: '2026-02-01' });
  const other = await makeTaxArea(office);
  const answer = await office.patch(`/v1/sites/${site.id}`, { taxAreaId: other.id }).set('If-Match', etag(site)).expect(422);
  expect(errorsOf(answer)).toEqual(['#/taxAreaId settled-already']);
});
