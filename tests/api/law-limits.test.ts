import { holdsWhole, verifyStatement } from '#statement/verify/verify-statement';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment, usd } from '#tests/support/collecting';
import { errorsOf, etag, makeAgreement, makeParty, makeRunningSite, makeSite, makeTaxArea, nextCode, plainTerms, type Made } from '#tests/support/set-up';

const MARCH = '2026-03-01';
let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-04-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

const half = { kind: 'highest-site-share', percent: '50' };
const source = 'Occupations code s. 2153.205, read in January 2026';
const limit = (fields: object = {}) => ({ validFrom: '2025-01-01', source, document: half, ...fields });
const pathOf = (areaId: unknown): string => `/v1/tax-areas/${areaId as string}/limits`;

describe('a limit of the law', () => {
  it('is kept as it was written, and listed by day', async () => {
    const area = await makeTaxArea(office);
    const made = await office.post(pathOf(area.id), limit({ validTo: '2026-01-01' })).expect(201);
    expect(made.body).toEqual({ id: made.body.id, taxAreaId: area.id, ...limit({ validTo: '2026-01-01' }) });
    const fixed = { kind: 'fixed-split', operatorPercent: '66.666666667', sitePercent: '33.3' };
    await office.post(pathOf(area.id), limit({ document: fixed })).expect(201);
    await office.post(pathOf(area.id), limit({ document: { kind: 'no-advances' } })).expect(201);
    const documents = async (query: string) => (await office.get(`${pathOf(area.id)}${query}`).expect(200)).body.items.map((row: { document: object }) => row.document);
    expect(await documents('')).toEqual([fixed, half, { kind: 'no-advances' }]);
    expect(await documents('?on=2026-01-01')).toEqual([fixed, { kind: 'no-advances' }]);
    const first = (await office.get(`${pathOf(area.id)}?limit=2`).expect(200)).body;
    expect((await office.get(`${pathOf(area.id)}?cursor=${first.next}`).expect(200)).body.items).toHaveLength(1);
  });

  it('never overlaps another of its kind, and names its days and source', async () => {
    const area = await makeTaxArea(office);
    await office.post(pathOf(area.id), limit({ validTo: '2026-01-01' })).expect(201);
    const clash = await office.post(pathOf(area.id), limit({ validFrom: '2025-12-31' })).expect(422);
    expect(errorsOf(clash)).toEqual(['#/validFrom overlaps']);
    expect(clash.body.errors[0].message).toBe(`A limit of this kind is in force from 1 January 2025 to 1 January 2026 (${source}).`);
    await office.post(pathOf(area.id), limit({ validFrom: '2026-01-01' })).expect(201);
  });

  it('may be ended once, after it began', async () => {
    const area = await makeTaxArea(office);
    const made = await office.post(pathOf(area.id), limit()).expect(201);
    const end = `${pathOf(area.id)}/${made.body.id as string}/end`;
    expect(errorsOf(await office.post(end, { validTo: '2025-01-01' }).expect(422))).toEqual(['#/validTo not-after-start']);
    expect((await office.post(end, { validTo: '2026-01-01' }).expect(200)).body.validTo).toBe('2026-01-01');
    expect((await office.post(end, { validTo: '2026-02-01' }).expect(409)).body.code).toBe('wrong-state');
    await office.post(`${pathOf(area.id)}/${area.id}/end`, { validTo: '2026-01-01' }).expect(404);
  });

  it.each([
    ['without a source', { source: ' ' }, 400, '#/source too-small'],
    ['above 100 percent', { document: { ...half, percent: '100.5' } }, 400, '#/document/percent not-valid'],
    ['with a negative percentage', { document: { ...half, percent: '-1' } }, 400, '#/document/percent not-valid'],
    ['with parts above 100 percent', { document: { kind: 'fixed-split', operatorPercent: '60', sitePercent: '50' } }, 400, '#/document/sitePercent above-hundred'],
    ['of an unknown kind', { document: { kind: 'fair-share' } }, 400, '#/document/kind no-known-form'],
    ['that ends before it begins', { validTo: '2025-01-01' }, 422, '#/validTo not-after-start'],
  ])('is refused %s', async (_case, fields, status, expected) => {
    const area = await makeTaxArea(office);
    expect(errorsOf(await office.post(pathOf(area.id), limit(fields)).expect(status))).toEqual([expected]);
  });

  it('belongs to its operator', async () => {
    const area = await makeTaxArea(office);
    await api.other.as('owner').get(pathOf(area.id)).expect(404);
    await api.other.as('owner').post(pathOf(area.id), limit()).expect(404);
  });
});

describe('terms', () => {
  const generous = (partyId: string) => plainTerms({ partyId, operatorPercent: '45', sitePercent: '55' });
  const share = '#/terms/split/shares/1/percent law-highest-site-share';

  it('that break a limit of their first day are refused with field, rule and source', async () => {
    const area = await makeTaxArea(office);
    await office.post(pathOf(area.id), limit({ validTo: '2026-06-01' })).expect(201);
    const [site, party] = [await makeSite(office, { taxAreaId: area.id }), await makeParty(office)];
    const agreement = { code: nextCode('A'), siteId: site.id, partyId: party.id, startedOn: '2025-01-01', terms: generous(party.id) };
    const answer = await office.post('/v1/agreements', agreement).expect(422);
    expect(errorsOf(answer)).toEqual([share]);
    expect(answer.body.errors[0].message).toBe(`The site has 55 percent and may have 50 at most (${source}).`);

    const made = await makeAgreement(office, { siteId: site.id, partyId: party.id });
    const version = (effectiveFrom: string) => office.post(`/v1/agreements/${made.id}/versions`, { effectiveFrom, terms: generous(party.id), reason: 'Asked for' });
    expect(errorsOf(await version('2026-05-01').set('If-Match', etag(made)).expect(422))).toEqual([share]);
    await version('2026-06-01').set('If-Match', etag(made)).expect(201);
  });

  it('are held against the limits when they are only checked', async () => {
    const { site, party, agreement } = await makeRunningSite(office);
    await office.post(pathOf(site['taxAreaId']), limit({ validFrom: '2026-03-01', document: { kind: 'no-advances' } })).expect(201);
    const terms = { ...plainTerms({ partyId: party.id }), advances: { kind: 'percentage', percent: '10' } };
    const problems = async (body: object) => (await office.post('/v1/agreements/terms/check', { terms, ...body }).expect(200)).body.problems.map((wrong: { code: string }) => wrong.code);
    expect(await problems({ agreementId: agreement.id })).toEqual(['law-no-advances']);
    expect(await problems({ siteId: site.id })).toEqual(['law-no-advances']);
    expect(await problems({ siteId: site.id, effectiveFrom: '2026-02-28' })).toEqual([]);
    expect(await problems({})).toEqual([]);
  });
});

it('a limit that comes after the terms keeps settlements from being reviewed, with its name, figures and source', async () => {
  const { site, machine, party, agreement } = await makeRunningSite(office);
  const terms = plainTerms({ partyId: party.id, operatorPercent: '45', sitePercent: '55' });
  const version = await office.post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms }).set('If-Match', etag(agreement)).expect(201);
  await makeAcceptedCollection(office, site, [count(machine)]);
  await closeMonth(api, MARCH);
  await office.post(pathOf(site['taxAreaId']), limit({ validFrom: '2026-03-15' })).expect(201);
  const settlement = () => settlementOf(api, { siteId: site.id, startsOn: MARCH });
  const { id } = await settlement();
  const ask = async (verb: 'review' | 'recompute') => office.post(`/v1/settlements/${id}/${verb}`).set('If-Match', etag(await settlement()));

  expect((await ask('review')).body).toMatchObject({ code: 'draft-is-stale', detail: 'Changed since the draft: limits of the law.' });
  expect((await ask('recompute')).status).toBe(200);
  expect((await ask('review')).body).toMatchObject({
    code: 'limits-not-kept',
    detail: `Highest share of the site: it gets 88.27 USD and may have 80.25 USD at most (${source}).`,
  });

  const lawful = plainTerms({ partyId: party.id, operatorPercent: '50', sitePercent: '50' });
  const after = (await office.get(`/v1/agreements/${agreement.id}`).expect(200)).body as Made;
  const replaced = { effectiveFrom: '2025-06-01', replaces: version.body.id as string, terms: lawful, reason: 'As the law has it' };
  await office.post(`/v1/agreements/${agreement.id}/versions`, replaced).set('If-Match', etag(after)).expect(201);
  expect((await ask('recompute')).status).toBe(200);
  expect((await ask('review')).status).toBe(200);
});

it('a late change that lifts the site of an issued period above the limit keeps the next settlement from being reviewed', async () => {
  // In books of their own: a month is closed once.
  const books = { operator: api.other };
  const ours = books.operator.as('bookkeeper');
  const { site, machine, party, agreement } = await makeRunningSite(ours);
  // The owner of the site has at least 100.00 a month; half of 210.00 is more, half of 160.00 is not.
  const floor = { id: 'floor', kind: 'at-least', party: party.id, amount: '100.00', per: 'period', scope: 'agreement', from: 'others' };
  const terms = { ...plainTerms({ partyId: party.id, operatorPercent: '50', sitePercent: '50' }), guarantees: [floor] };
  await ours.post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms }).set('If-Match', etag(agreement)).expect(201);
  await ours.post(pathOf(site['taxAreaId']), limit()).expect(201);
  const collected = await makeAcceptedCollection(ours, site, [count(machine, '170.00', '40.00')], { happenedAt: moment('2026-02-10') });
  await issueMonth(books, (await closeMonth(books, '2026-02-01')).id);
  const correction = { countId: collected.counts[0]?.id, coin: usd('120.00'), note: usd('40.00'), reason: 'A roll was counted twice.' };
  await books.operator.as('owner').post(`/v1/collections/${collected.id}/corrections`, correction).expect(200);
  await makeAcceptedCollection(ours, site, [count(machine, '500.00')], { happenedAt: moment('2026-03-10') });
  await closeMonth(books, MARCH);
  const settlement = () => settlementOf(books, { siteId: site.id, startsOn: MARCH });
  const { id } = await settlement();
  const ask = async (verb: 'review' | 'recompute') => ours.post(`/v1/settlements/${id}/${verb}`).set('If-Match', etag(await settlement()));
  const refusal = `Period from 1 February 2026, with what has changed since it was issued. Highest share of the site: it gets 100.00 USD and may have 80.00 USD at most (${source}).`;
  expect((await ask('review')).body).toMatchObject({ code: 'limits-not-kept', detail: refusal });

  // With another 45.00 of February, found late, half of its takings is more than what was promised.
  await makeAcceptedCollection(ours, site, [count(machine, '45.00', '0.00')], { happenedAt: moment('2026-02-20') });
  expect((await ask('recompute')).status).toBe(200);
  expect((await ask('review')).status).toBe(200);
});

it('a month in which thirty limits were in force one after the other is issued like any other', async () => {
  const { site, machine } = await makeRunningSite(office);
  await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: moment('2026-01-15') });
  const day = (number: number): string => `2026-01-${String(number).padStart(2, '0')}`;
  for (let number = 1; number <= 30; number += 1) {
    await office.post(pathOf(site['taxAreaId']), limit({ validFrom: day(number), validTo: day(number + 1), document: { kind: 'no-advances' }, source: `Invented Code ${number}` })).expect(201);
  }
  await issueMonth(api, (await closeMonth(api, '2026-01-01')).id);
  const settlement = await settlementOf(api, { siteId: site.id, startsOn: '2026-01-01' });
  const pdf = (await office.get(`/v1/settlements/${settlement.id}/statement`).buffer(true).expect(200)).body as Buffer;
  const verdict = await verifyStatement(pdf);
  const { statement } = verdict;
  expect(statement?.document.cautions.filter((said) => said.includes('Invented Code'))).toHaveLength(13);
  expect(statement?.document.cautions).toContain('17 more limits of the law of the place were in force; the attached figures list them all.');
  expect(holdsWhole(verdict)).toBe(true);
});
