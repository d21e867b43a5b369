import { randomUUID } from 'node:crypto';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { errorsOf, etag, makeMachine, makePlacement, makeSite, makeTaxArea, nextCode } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

const command = async () => ({
  code: nextCode('S'),
  name: 'The Copper Kettle',
  address: ['12 Harbour Lane', 'Quillham'],
  timeZone: 'America/Chicago',
  currency: 'USD',
  taxAreaId: (await makeTaxArea(office)).id,
  openedOn: '2025-01-01',
});

describe('a site', () => {
  it('is made under an id of the client, read, listed and changed', async () => {
    const id = randomUUID();
    const body = { id, ...(await command()) };
    const made = await office.post('/v1/sites', body).expect(201);
    expect(made.headers['etag']).toBe('"1"');
    expect(made.body).toEqual({ ...body, closedOn: null, revision: 1 });
    expect((await office.get(`/v1/sites/${id}`).expect(200)).body).toEqual(made.body);

    const changed = await office.patch(`/v1/sites/${id}`, { name: 'The Tin Kettle' }).set('If-Match', '"1"').expect(200);
    expect(changed.body).toEqual({ ...made.body, name: 'The Tin Kettle', revision: 2 });
    const found = await office.get('/v1/sites?search=tin%20ket').expect(200);
    expect(found.body).toEqual({ items: [changed.body], next: null });
  });

  it('is not changed by somebody who read it before the last change', async () => {
    const site = await makeSite(office);
    await office.patch(`/v1/sites/${site.id}`, { name: 'First' }).set('If-Match', etag(site)).expect(200);
    const late = await office.patch(`/v1/sites/${site.id}`, { name: 'Second' }).set('If-Match', etag(site)).expect(412);
    expect(late.body.code).toBe('changed-meanwhile');
    expect((await office.patch(`/v1/sites/${site.id}`, { name: 'Third' }).expect(428)).body.code).toBe('version-missing');
  });

  it.each([
    ['an unknown time zone', { timeZone: 'America/Quillham' }, '#/timeZone not-valid'],
    ['an offset for a time zone', { timeZone: '+02:00' }, '#/timeZone not-valid'],
    ['an unknown currency', { currency: 'QQQ' }, '#/currency not-valid'],
    ['a day that is none', { openedOn: '2025-02-30' }, '#/openedOn wrong-format'],
    ['a day centuries away', { openedOn: '9999-12-31' }, '#/openedOn not-valid'],
    ['a small-letter code', { code: 's-1' }, '#/code wrong-format'],
    ['a name with a line break', { name: 'Copper\nKettle' }, '#/name wrong-format'],
  ])('is refused with %s', async (_case, wrong, expected) => {
    const answer = await office.post('/v1/sites', { ...(await command()), ...wrong }).expect(400);
    expect(errorsOf(answer)).toEqual([expected]);
  });

  it('is refused where a statement could not print its name or address', async () => {
    const answer = await office.post('/v1/sites', { ...(await command()), name: '居酒屋 Kettle', address: ['1 Lane', 'כפר'] }).expect(422);
    expect(errorsOf(answer)).toEqual(['#/name not-printable', '#/address/1 not-printable']);
  });

  it('is refused in an unknown tax area, and in one that is taxed in another currency', async () => {
    const unknown = await office.post('/v1/sites', { ...(await command()), taxAreaId: randomUUID() }).expect(422);
    expect(errorsOf(unknown)).toEqual(['#/taxAreaId unknown']);
    const area = await makeTaxArea(office);
    await office
      .post(`/v1/tax-areas/${area.id}/rules`, {
        code: 'SALES',
        validFrom: '2025-01-01',
        document: {
          method: 'inside', title: 'Sales tax', currency: 'USD', machineKinds: 'all', filedBy: 'operator', borneBy: 'all', breakIns: 'not-in-base',
          negative: 'zero', capPerMachineMonth: null, components: [{ id: 'state', title: 'State', ratePercent: '4' }],
        },
      })
      .expect(201);
    const other = await office.post('/v1/sites', { ...(await command()), taxAreaId: area.id, currency: 'EUR' }).expect(422);
    expect(errorsOf(other)).toEqual(['#/taxAreaId other-currency']);
  });

  it('has a code and an id of its own', async () => {
    const site = await makeSite(office);
    const sameCode = await office.post('/v1/sites', { ...(await command()), code: site['code'] }).expect(409);
    expect(errorsOf(sameCode)).toEqual(['#/code taken']);
    const sameId = await office.post('/v1/sites', { ...(await command()), id: site.id }).expect(409);
    expect(errorsOf(sameId)).toEqual(['#/id taken']);
  });

  it('neither opens after a machine came nor closes while one stands there', async () => {
    const site = await makeSite(office);
    const machine = await makeMachine(office);
    const placement = await makePlacement(office, { machineId: machine.id, siteId: site.id, placedOn: '2025-03-01' });
    const late = await office.patch(`/v1/sites/${site.id}`, { openedOn: '2025-03-02' }).set('If-Match', etag(site)).expect(422);
    expect(errorsOf(late)).toEqual(['#/openedOn after-first-placement']);
    const early = await office.patch(`/v1/sites/${site.id}`, { closedOn: '2026-01-01' }).set('If-Match', etag(site)).expect(422);
    expect(errorsOf(early)).toEqual(['#/closedOn machine-still-placed']);

    await office.post(`/v1/placements/${placement.id}/end`, { removedOn: '2026-01-01' }).expect(200);
    const closed = await office.patch(`/v1/sites/${site.id}`, { closedOn: '2026-01-01' }).set('If-Match', etag(site)).expect(200);
    expect(closed.body.closedOn).toBe('2026-01-01');
    const before = await office.patch(`/v1/sites/${site.id}`, { closedOn: '2024-12-31' }).set('If-Match', '"2"').expect(422);
    expect(errorsOf(before)).toContain('#/closedOn machine-still-placed');
  });

  it('does not exist for another operator', async () => {
    const site = await makeSite(office);
    const stranger = api.other.as('owner');
    expect((await stranger.get(`/v1/sites/${site.id}`).expect(404)).body.code).toBe('not-found');
    await stranger.patch(`/v1/sites/${site.id}`, { name: 'Mine' }).set('If-Match', '"1"').expect(404);
    const area = await makeTaxArea(stranger);
    const theirs = await office.post('/v1/sites', { ...(await command()), taxAreaId: area.id }).expect(422);
    expect(errorsOf(theirs)).toEqual(['#/taxAreaId unknown']);
  });

  it('is seen by its own manager and by no other', async () => {
    const own = await makeSite(office, { id: api.operator.siteId });
    const other = await makeSite(office);
    const manager = api.operator.as('site-manager');
    await manager.get(`/v1/sites/${own.id}`).expect(200);
    await manager.get(`/v1/sites/${other.id}`).expect(404);
    const list = await manager.get('/v1/sites').expect(200);
    expect(list.body.items.map((site: { id: string }) => site.id)).toEqual([own.id]);
  });
});

describe('the list of sites', () => {
  it('comes in pages by code', async () => {
    const area = await makeTaxArea(office);
    const codes = ['Z-1', 'Z-2', 'Z-3'];
    for (const code of codes) await makeSite(office, { code, taxAreaId: area.id });
    const first = await office.get(`/v1/sites?taxAreaId=${area.id}&limit=2`).expect(200);
    expect(first.body.items.map((site: { code: string }) => site.code)).toEqual(['Z-1', 'Z-2']);
    const second = await office.get(`/v1/sites?taxAreaId=${area.id}&limit=2&cursor=${first.body.next}`).expect(200);
    expect(second.body).toMatchObject({ items: [{ code: 'Z-3' }], next: null });
    expect((await office.get('/v1/sites?cursor=nonsense').expect(400)).body.code).toBe('invalid-cursor');
  });

  it('takes what people type literally', async () => {
    await makeSite(office, { name: 'Fifty 50% off' });
    await makeSite(office, { name: 'Fifty 501 off' });
    const found = await office.get(`/v1/sites?search=${encodeURIComponent('50%')}`).expect(200);
    expect(found.body.items.map((site: { name: string }) => site.name)).toEqual(['Fifty 50% off']);
  });

  it('shows those open on a day', async () => {
    const area = await makeTaxArea(office);
    const site = await makeSite(office, { taxAreaId: area.id, openedOn: '2025-06-01' });
    await office.patch(`/v1/sites/${site.id}`, { closedOn: '2025-09-01' }).set('If-Match', etag(site)).expect(200);
    const openOn = async (day: string) => (await office.get(`/v1/sites?taxAreaId=${area.id}&openOn=${day}`).expect(200)).body.items.length;
    expect([await openOn('2025-05-31'), await openOn('2025-06-01'), await openOn('2025-08-31'), await openOn('2025-09-01')]).toEqual([0, 1, 1, 0]);
  });
});
