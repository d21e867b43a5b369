import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { errorsOf, etag, makeSite, makeTaxArea, nextCode } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

const common = { title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'not-in-base' };
const inside = { ...common, method: 'inside', negative: 'zero', capPerMachineMonth: null, components: [{ id: 'state', title: 'State', ratePercent: '4' }, { id: 'county', title: 'County', ratePercent: '0.5' }] };
const fixed = {
  ...common, method: 'fixed', per: 'year', timing: { kind: 'when-due', month: 1, day: 1, onPlacement: true },
  components: [{ id: 'licence', title: 'Licence', amount: '35.00', placedLater: { month: 7, day: 1, amount: '20.00' } }],
};
const rule = (fields: object = {}) => ({ code: 'SALES', validFrom: '2025-01-01', source: 'County code, read 2025-01-02', document: inside, ...fields });

describe('a tax area', () => {
  it('is recorded, found and changed', async () => {
    const area = await makeTaxArea(office, { name: 'Brindle Shire' });
    expect((await office.get('/v1/tax-areas?search=brindle').expect(200)).body.items).toEqual([area]);
    const changed = await office.patch(`/v1/tax-areas/${area.id}`, { name: 'Brindle' }).set('If-Match', etag(area)).expect(200);
    expect(changed.body).toMatchObject({ name: 'Brindle', revision: 2 });
    expect(errorsOf(await office.post('/v1/tax-areas', { code: area['code'], name: 'Twin', country: 'US' }).expect(409))).toEqual(['#/code taken']);
    await api.other.as('owner').get(`/v1/tax-areas/${area.id}`).expect(404);
    await api.other.as('owner').post(`/v1/tax-areas/${area.id}/rules`, rule()).expect(404);
  });
});

describe('a dated row of a tax', () => {
  it('is kept as it was written', async () => {
    const area = await makeTaxArea(office);
    const made = await office.post(`/v1/tax-areas/${area.id}/rules`, rule()).expect(201);
    expect(made.body).toEqual({ id: made.body.id, taxAreaId: area.id, validTo: null, ...rule() });
    const licence = await office.post(`/v1/tax-areas/${area.id}/rules`, rule({ code: 'LICENCE', document: fixed })).expect(201);
    expect(licence.body.document).toEqual(fixed);
    const list = await office.get(`/v1/tax-areas/${area.id}/rules`).expect(200);
    expect(list.body.items.map((row: { code: string }) => row.code)).toEqual(['LICENCE', 'SALES']);
  });

  it('never overlaps another row of the same tax, and names it', async () => {
    const area = await makeTaxArea(office);
    await office.post(`/v1/tax-areas/${area.id}/rules`, rule({ validTo: '2026-01-01' })).expect(201);
    const clash = await office.post(`/v1/tax-areas/${area.id}/rules`, rule({ validFrom: '2025-12-31' })).expect(422);
    expect(errorsOf(clash)).toEqual(['#/validFrom overlaps']);
    expect(clash.body.errors[0].message).toContain('SALES');
    await office.post(`/v1/tax-areas/${area.id}/rules`, rule({ validFrom: '2026-01-01' })).expect(201);
  });

  it('ends the row before it when it is a change of rate', async () => {
    const area = await makeTaxArea(office);
    await office.post(`/v1/tax-areas/${area.id}/rules`, rule()).expect(201);
    const dearer = { ...inside, components: [{ id: 'state', title: 'State', ratePercent: '5' }] };
    await office.post(`/v1/tax-areas/${area.id}/rules`, rule({ validFrom: '2027-01-01', document: dearer, endsPrevious: true })).expect(201);
    const list = await office.get(`/v1/tax-areas/${area.id}/rules`).expect(200);
    expect(list.body.items.map((row: { validFrom: string; validTo: string | null }) => [row.validFrom, row.validTo])).toEqual([['2025-01-01', '2027-01-01'], ['2027-01-01', null]]);
    const on = await office.get(`/v1/tax-areas/${area.id}/rules?on=2027-01-01`).expect(200);
    expect(on.body.items.map((row: { document: { components: object[] } }) => row.document.components)).toEqual([dearer.components]);
  });

  it('may be ended', async () => {
    const area = await makeTaxArea(office);
    const made = await office.post(`/v1/tax-areas/${area.id}/rules`, rule()).expect(201);
    const path = `/v1/tax-areas/${area.id}/rules/${made.body.id}/end`;
    expect(errorsOf(await office.post(path, { validTo: '2025-01-01' }).expect(422))).toEqual(['#/validTo not-after-start']);
    expect((await office.post(path, { validTo: '2026-01-01' }).expect(200)).body.validTo).toBe('2026-01-01');
    expect((await office.post(path, { validTo: '2026-02-01' }).expect(409)).body.code).toBe('wrong-state');
  });

  it('is not a second tax inside the price of the same machine', async () => {
    const area = await makeTaxArea(office);
    await office.post(`/v1/tax-areas/${area.id}/rules`, rule({ document: { ...inside, machineKinds: ['jukebox', 'pool-table'] } })).expect(201);
    const second = await office.post(`/v1/tax-areas/${area.id}/rules`, rule({ code: 'CITY', document: { ...inside, machineKinds: ['jukebox'] } })).expect(422);
    expect(errorsOf(second)).toEqual(['#/document/machineKinds second-tax-inside']);
    await office.post(`/v1/tax-areas/${area.id}/rules`, rule({ code: 'CITY', document: { ...inside, machineKinds: ['pinball'] } })).expect(201);
  });

  it('is in the currency of the sites', async () => {
    const area = await makeTaxArea(office);
    const site = await makeSite(office, { taxAreaId: area.id, currency: 'EUR', timeZone: 'Europe/Berlin' });
    const answer = await office.post(`/v1/tax-areas/${area.id}/rules`, rule()).expect(422);
    expect(errorsOf(answer)).toEqual(['#/document/currency other-currency']);
    expect(answer.body.errors[0].message).toContain(site['code']);
  });

  it.each([
    ['a rate above 100 percent', { ...inside, components: [{ id: 'state', title: 'State', ratePercent: '100.1' }] }, '#/document/components/0/ratePercent not-valid'],
    ['a rate below zero', { ...inside, components: [{ id: 'state', title: 'State', ratePercent: '-1' }] }, '#/document/components/0/ratePercent not-valid'],
    ['a rate with ten places', { ...inside, components: [{ id: 'state', title: 'State', ratePercent: '4.1234567891' }] }, '#/document/components/0/ratePercent not-valid'],
    ['no component', { ...inside, components: [] }, '#/document/components too-small'],
    ['an unknown method', { ...inside, method: 'per-play' }, '#/document/method no-known-form'],
    ['one id for two components', { ...inside, components: [inside.components[0], inside.components[0]] }, '#/document/components/1/id id-used-twice'],
    ['an amount with too many digits', { ...inside, capPerMachineMonth: '30.005' }, '#/document/capPerMachineMonth wrong-digits'],
    ['an amount below zero', { ...inside, capPerMachineMonth: '-30.00' }, '#/document/capPerMachineMonth negative'],
    ['a day that few years have', { ...fixed, timing: { kind: 'when-due', month: 2, day: 29, onPlacement: true } }, '#/document/timing/day no-such-day'],
    [
      'a component for machines outside the rule',
      { ...common, method: 'on-takings', machineKinds: ['jukebox'], negative: 'zero', capPerMachineMonth: null, rounding: 'apart', components: [{ id: 'a', title: 'A', ratePercent: '1', machineKinds: ['pinball'] }] },
      '#/document/components/0/machineKinds kind-not-covered',
    ],
  ])('is refused with %s', async (_case, document, expected) => {
    const area = await makeTaxArea(office);
    const answer = await office.post(`/v1/tax-areas/${area.id}/rules`, rule({ code: nextCode('T'), document })).expect(400);
    expect(errorsOf(answer)).toEqual([expected]);
  });

  it('ends after it begins, and has titles that a statement can print', async () => {
    const area = await makeTaxArea(office);
    const answer = await office
      .post(`/v1/tax-areas/${area.id}/rules`, rule({ validTo: '2025-01-01', document: { ...inside, components: [{ id: 'state', title: '国', ratePercent: '4' }] } }))
      .expect(422);
    expect(errorsOf(answer)).toEqual(['#/validTo not-after-start', '#/document/components/0/title not-printable']);
  });
});
