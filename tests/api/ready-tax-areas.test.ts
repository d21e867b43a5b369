import type { ReadyTaxAreas } from '#contracts/ready-area';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { errorsOf, makeParty, makeSite, nextCode, plainTerms, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

const copy = (body: object) => office.post('/v1/tax-areas/copies', body);

it('ready areas are listed by country, each with sources and the advice to check', async () => {
  const all = (await office.get('/v1/ready-tax-areas').expect(200)).body as ReadyTaxAreas;
  expect(all.items.length).toBeGreaterThan(20);
  const german = (await office.get('/v1/ready-tax-areas?country=DE').expect(200)).body as ReadyTaxAreas;
  expect(german.items.map((ready) => ready.id)).toEqual(['de-vat', 'de-limburg']);
  expect(german.items.every((ready) => ready.caution.includes('tax authority'))).toBe(true);
});

it('a copy has the rules and limits, which are the operator\'s own from then on', async () => {
  const area = (await copy({ readyAreaId: 'us-tx' }).expect(201)).body as Made;
  expect(area).toMatchObject({ code: 'US-TX', name: 'Texas', country: 'US', revision: 1 });
  const rules = (await office.get(`/v1/tax-areas/${area.id}/rules`).expect(200)).body.items;
  expect(rules).toMatchObject([{ code: 'OCCUPATION', document: { method: 'fixed', components: [{ amount: '60.00' }] } }]);
  expect(rules[0].source).toContain('to be checked with the tax authority');
  await office.post(`/v1/tax-areas/${area.id}/rules/${rules[0].id as string}/end`, { validTo: '2027-01-01' }).expect(200);
  expect((await office.get(`/v1/tax-areas/${area.id}/limits`).expect(200)).body.items).toMatchObject([{ document: { kind: 'highest-site-share', percent: '50' } }]);

  const site = await makeSite(office, { taxAreaId: area.id });
  const party = await makeParty(office);
  const terms = plainTerms({ partyId: party.id, operatorPercent: '45', sitePercent: '55' });
  const refused = await office.post('/v1/agreements', { code: nextCode('A'), siteId: site.id, partyId: party.id, startedOn: '2025-01-01', terms }).expect(422);
  expect(errorsOf(refused)).toEqual(['#/terms/split/shares/1/percent law-highest-site-share']);
});

it('a copy may have another code and name', async () => {
  const area = (await copy({ readyAreaId: 'de-limburg', code: 'MY-TOWN', name: 'My town' }).expect(201)).body as Made;
  expect(area).toMatchObject({ code: 'MY-TOWN', name: 'My town', country: 'DE' });
  const { items } = (await office.get(`/v1/tax-areas/${area.id}/rules`).expect(200)).body;
  expect(items.map((rule: { code: string }) => rule.code)).toEqual(['DEVICE', 'VAT']);
});

it('is refused for an unknown area, a code that is taken, and a name that no statement can print', async () => {
  expect(errorsOf(await copy({ readyAreaId: 'us-zz' }).expect(422))).toEqual(['#/readyAreaId unknown']);
  await copy({ readyAreaId: 'fr-vat' }).expect(201);
  expect(errorsOf(await copy({ readyAreaId: 'fr-vat' }).expect(409))).toEqual(['#/code taken']);
  expect(errorsOf(await copy({ readyAreaId: 'fr-vat', code: 'FR-2', name: '国' }).expect(422))).toEqual(['#/name not-printable']);
});
