import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { errorsOf, etag, makeMachine, makePlacement, makeSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

async function sitesAndMachine() {
  const here = await makeSite(office);
  const there = await makeSite(office);
  const machine = await makeMachine(office);
  return { here, there, machine };
}

describe('a placement', () => {
  it('puts a machine at a site, where the machine then says it is', async () => {
    const { here, machine } = await sitesAndMachine();
    const placement = await makePlacement(office, { machineId: machine.id, siteId: here.id, placedOn: '2025-05-01' });
    expect(placement).toMatchObject({ machineTag: machine['tag'], siteCode: here['code'], placedOn: '2025-05-01', removedOn: null });
    const read = await office.get(`/v1/machines/${machine.id}`).expect(200);
    expect(read.body.placement).toEqual({ id: placement.id, siteId: here.id, siteCode: here['code'], placedOn: '2025-05-01' });
  });

  it('never overlaps another one of the machine, and names the site where it stands', async () => {
    const { here, there, machine } = await sitesAndMachine();
    await makePlacement(office, { machineId: machine.id, siteId: here.id, placedOn: '2025-05-01', removedOn: '2025-08-01' });
    for (const days of [{ placedOn: '2025-07-31' }, { placedOn: '2025-01-01' }, { placedOn: '2025-01-01', removedOn: '2025-05-02' }]) {
      const answer = await office.post('/v1/placements', { machineId: machine.id, siteId: there.id, ...days }).expect(422);
      expect(errorsOf(answer)).toEqual(['#/placedOn stands-elsewhere']);
      expect(answer.body.errors[0].message).toContain(here['code']);
    }
    // Removal and placing share a day.
    await makePlacement(office, { machineId: machine.id, siteId: there.id, placedOn: '2025-08-01' });
    await makePlacement(office, { machineId: machine.id, siteId: there.id, placedOn: '2025-01-01', removedOn: '2025-05-01' });
  });

  it('is not made twice when two people place the machine at once', async () => {
    const { here, there, machine } = await sitesAndMachine();
    const answers = await Promise.all(
      [here, there, here, there].map((site) => office.post('/v1/placements', { machineId: machine.id, siteId: site.id, placedOn: '2025-05-01' })),
    );
    expect(answers.map((answer) => answer.status).sort()).toEqual([201, 422, 422, 422]);
  });

  it('begins after the machine was acquired and the site opened, and after the day before it ends', async () => {
    const site = await makeSite(office, { openedOn: '2025-03-01' });
    const machine = await makeMachine(office, { acquiredOn: '2025-02-01' });
    const answer = await office.post('/v1/placements', { machineId: machine.id, siteId: site.id, placedOn: '2025-01-15', removedOn: '2025-01-15' }).expect(422);
    expect(errorsOf(answer)).toEqual(['#/placedOn before-acquisition', '#/placedOn before-site-opened', '#/removedOn not-after-placing']);
  });

  it('needs a machine and a site of this operator', async () => {
    const stranger = api.other.as('owner');
    const machine = await makeMachine(stranger);
    const site = await makeSite(stranger);
    const answer = await office.post('/v1/placements', { machineId: machine.id, siteId: site.id, placedOn: '2025-05-01' }).expect(422);
    expect(errorsOf(answer)).toEqual(['#/machineId unknown', '#/siteId unknown']);
  });

  it('ends once, after the day it began', async () => {
    const { here, machine } = await sitesAndMachine();
    const placement = await makePlacement(office, { machineId: machine.id, siteId: here.id, placedOn: '2025-05-01' });
    const early = await office.post(`/v1/placements/${placement.id}/end`, { removedOn: '2025-05-01' }).expect(422);
    expect(errorsOf(early)).toEqual(['#/removedOn not-after-placing']);
    const ended = await office.post(`/v1/placements/${placement.id}/end`, { removedOn: '2025-06-01' }).expect(200);
    expect(ended.body).toMatchObject({ removedOn: '2025-06-01', revision: 2 });
    const again = await office.post(`/v1/placements/${placement.id}/end`, { removedOn: '2025-06-02' }).expect(409);
    expect(again.body.code).toBe('wrong-state');
    expect((await office.get(`/v1/machines/${machine.id}`).expect(200)).body.placement).toBeNull();
  });

  it('is corrected where its days were written down wrongly', async () => {
    const { here, there, machine } = await sitesAndMachine();
    await makePlacement(office, { machineId: machine.id, siteId: here.id, placedOn: '2025-02-01', removedOn: '2025-03-01' });
    const placement = await makePlacement(office, { machineId: machine.id, siteId: there.id, placedOn: '2025-05-01', removedOn: '2025-06-01' });
    const changed = await office.patch(`/v1/placements/${placement.id}`, { placedOn: '2025-04-01', removedOn: null }).set('If-Match', etag(placement)).expect(200);
    expect(changed.body).toMatchObject({ placedOn: '2025-04-01', removedOn: null, revision: 2 });
    const clash = await office.patch(`/v1/placements/${placement.id}`, { placedOn: '2025-02-28' }).set('If-Match', '"2"').expect(422);
    expect(errorsOf(clash)).toEqual(['#/placedOn stands-elsewhere']);
    await office.patch(`/v1/placements/${placement.id}`, { placedOn: '2025-04-02' }).set('If-Match', '"1"').expect(412);
  });
});

describe('a move', () => {
  it('ends one placement and begins the next on the same day', async () => {
    const { here, there, machine } = await sitesAndMachine();
    const placement = await makePlacement(office, { machineId: machine.id, siteId: here.id, placedOn: '2025-05-01' });
    const moved = await office.post(`/v1/placements/${placement.id}/move`, { siteId: there.id, movedOn: '2025-07-10' }).expect(201);
    expect(moved.body).toMatchObject({
      ended: { id: placement.id, siteId: here.id, removedOn: '2025-07-10' },
      begun: { machineId: machine.id, siteId: there.id, placedOn: '2025-07-10', removedOn: null },
    });
    const on = async (day: string) => (await office.get(`/v1/placements?machineId=${machine.id}&on=${day}`).expect(200)).body.items.map((row: { siteId: string }) => row.siteId);
    expect([await on('2025-07-09'), await on('2025-07-10')]).toEqual([[here.id], [there.id]]);
  });

  it('that cannot begin does not end anything', async () => {
    const { here, machine } = await sitesAndMachine();
    const later = await makeSite(office, { openedOn: '2025-12-01' });
    const placement = await makePlacement(office, { machineId: machine.id, siteId: here.id, placedOn: '2025-05-01' });
    const answer = await office.post(`/v1/placements/${placement.id}/move`, { siteId: later.id, movedOn: '2025-07-10' }).expect(422);
    expect(errorsOf(answer)).toEqual(['#/movedOn before-site-opened']);
    expect((await office.get(`/v1/placements/${placement.id}`).expect(200)).body).toMatchObject({ removedOn: null, revision: 1 });
  });

  it('is taken once when two people move the machine at once', async () => {
    const { here, there, machine } = await sitesAndMachine();
    const placement = await makePlacement(office, { machineId: machine.id, siteId: here.id, placedOn: '2025-05-01' });
    const answers = await Promise.all([1, 2, 3].map(() => office.post(`/v1/placements/${placement.id}/move`, { siteId: there.id, movedOn: '2025-07-10' })));
    expect(answers.map((answer) => answer.status).sort()).toEqual([201, 409, 409]);
  });
});

test('a site manager sees the placements at their own site only, and another operator none', async () => {
  const own = await makeSite(office, { id: api.operator.siteId });
  const other = await makeSite(office);
  const here = await makePlacement(office, { machineId: (await makeMachine(office)).id, siteId: own.id });
  const there = await makePlacement(office, { machineId: (await makeMachine(office)).id, siteId: other.id });
  const manager = api.operator.as('site-manager');
  await manager.get(`/v1/placements/${here.id}`).expect(200);
  await manager.get(`/v1/placements/${there.id}`).expect(404);
  expect((await manager.get('/v1/placements').expect(200)).body.items.map((row: { id: string }) => row.id)).toEqual([here.id]);
  const machines = await manager.get('/v1/machines').expect(200);
  expect(machines.body.items.map((row: { id: string }) => row.id)).toEqual([here['machineId']]);
  await manager.get(`/v1/machines/${String(there['machineId'])}`).expect(404);
  await api.other.as('owner').get(`/v1/placements/${here.id}`).expect(404);
  await api.other.as('owner').post(`/v1/placements/${here.id}/end`, { removedOn: '2025-06-01' }).expect(404);
});

test('the list comes in pages, the latest first', async () => {
  const { here, machine } = await sitesAndMachine();
  const days = ['2025-02-01', '2025-03-01', '2025-04-01', '2025-05-01'];
  for (let index = 0; index < 3; index += 1) {
    await makePlacement(office, { machineId: machine.id, siteId: here.id, placedOn: days[index], removedOn: days[index + 1] });
  }
  const seen: string[] = [];
  let cursor = '';
  do {
    const page = await office.get(`/v1/placements?machineId=${machine.id}&limit=2${cursor}`).expect(200);
    seen.push(...page.body.items.map((row: { placedOn: string }) => row.placedOn));
    cursor = page.body.next === null ? '' : `&cursor=${page.body.next}`;
  } while (cursor !== '');
  expect(seen).toEqual(['2025-04-01', '2025-03-01', '2025-02-01']);
});
