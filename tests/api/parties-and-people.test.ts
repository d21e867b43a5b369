import { randomUUID } from 'node:crypto';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { asTenant } from '#tests/support/database';
import { errorsOf, etag, makeParty, makePerson, makeSite, nextCode } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

describe('a party', () => {
  it('is recorded, found and changed', async () => {
    const party = await makeParty(office, { name: 'Ravenmoor Estates', address: ['4 Mill Row'] });
    expect((await office.get('/v1/parties?search=ravenmoor').expect(200)).body.items).toEqual([party]);
    const changed = await office.patch(`/v1/parties/${party.id}`, { address: [], locale: 'es-MX' }).set('If-Match', etag(party)).expect(200);
    expect(changed.body).toMatchObject({ address: [], locale: 'es-MX', revision: 2 });
    await office.patch(`/v1/parties/${party.id}`, { name: 'Late' }).set('If-Match', etag(party)).expect(412);
  });

  it.each([
    [{ locale: 'english' }, 400, '#/locale not-valid'],
    [{ locale: 'EN-us' }, 400, '#/locale not-valid'],
    [{ name: '居酒屋' }, 422, '#/name not-printable'],
    [{ address: ['x'.repeat(101)] }, 400, '#/address/0 too-large'],
  ])('is refused with %j', async (wrong, status, expected) => {
    const answer = await office.post('/v1/parties', { code: nextCode('P'), name: 'Ravenmoor', locale: 'en-US', ...wrong }).expect(status);
    expect(errorsOf(answer)).toEqual([expected]);
  });

  it('is nothing that a collector or a site manager sees', async () => {
    const party = await makeParty(office);
    for (const role of ['collector', 'custodian', 'site-manager'] as const) {
      await api.operator.as(role).get(`/v1/parties/${party.id}`).expect(403);
    }
    await api.other.as('owner').get(`/v1/parties/${party.id}`).expect(404);
  });
});

describe('a person', () => {
  it('works for the operator, or for one site', async () => {
    const site = await makeSite(office);
    const collector = await makePerson(office);
    expect(collector).toMatchObject({ employedBy: 'operator', siteId: null, leftOn: null });
    const barkeeper = await makePerson(office, { employedBy: 'site', siteId: site.id });
    expect((await office.get(`/v1/people?siteId=${site.id}`).expect(200)).body.items).toEqual([barkeeper]);

    const body = { code: nextCode('E'), name: 'Orla Venn', startedOn: '2025-01-01' };
    expect(errorsOf(await office.post('/v1/people', { ...body, employedBy: 'site' }).expect(400))).toEqual(['#/siteId does-not-fit-employer']);
    expect(errorsOf(await office.post('/v1/people', { ...body, employedBy: 'operator', siteId: site.id }).expect(400))).toEqual(['#/siteId does-not-fit-employer']);
    expect(errorsOf(await office.post('/v1/people', { ...body, employedBy: 'site', siteId: randomUUID() }).expect(422))).toEqual(['#/siteId unknown']);
  });

  it('leaves on a day, and is then no longer among those at work', async () => {
    const person = await makePerson(office, { name: 'Tam Orrin' });
    const early = await office.patch(`/v1/people/${person.id}`, { leftOn: '2024-12-31' }).set('If-Match', etag(person)).expect(422);
    expect(errorsOf(early)).toEqual(['#/leftOn before-start']);
    await office.patch(`/v1/people/${person.id}`, { leftOn: '2025-06-30' }).set('If-Match', etag(person)).expect(200);
    const working = async (day: string) => (await office.get(`/v1/people?search=Tam&workingOn=${day}`).expect(200)).body.items.length;
    expect([await working('2025-06-30'), await working('2025-07-01')]).toEqual([1, 0]);
  });

  it('leaves no name in the audit trail, which cannot forget', async () => {
    const person = await makePerson(office, { name: 'Nadia Quillfeather', email: 'nadia@example.org' });
    await office.patch(`/v1/people/${person.id}`, { name: 'Nadia Brook' }).set('If-Match', etag(person)).expect(200);
    const { rows } = await asTenant(api.db, api.operator.tenantId, (tx) => tx.sql('SELECT before, after FROM audit_entry WHERE row_id = $1', [person.id]));
    expect(rows.length).toBe(2);
    expect(JSON.stringify(rows)).not.toMatch(/Quillfeather|Brook|nadia@/);
  });
});
