import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { errorsOf, etag, makeGame, makeMachine, makeParty, makePerson, makePlacement, makeSite, nextCode } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

describe('a machine', () => {
  it('is made, found by tag or serial number, and changed', async () => {
    const made = await office.post('/v1/machines', { tag: nextCode('M'), kind: 'jukebox', serialNumber: 'QX-77-12', acquiredOn: '2025-01-01' }).expect(201);
    expect(made.body).toMatchObject({ kind: 'jukebox', serialNumber: 'QX-77-12', disposedOn: null, placement: null, revision: 1 });
    const found = await office.get('/v1/machines?search=qx-77').expect(200);
    expect(found.body.items).toEqual([made.body]);
    const changed = await office.patch(`/v1/machines/${made.body.id}`, { serialNumber: null, kind: 'pool-table' }).set('If-Match', '"1"').expect(200);
    expect(changed.body).toMatchObject({ serialNumber: null, kind: 'pool-table', revision: 2 });
  });

  it('is recorded with its place and its game in one step, or not at all', async () => {
    const [site, game] = [await makeSite(office), await makeGame(office)];
    const command = {
      tag: nextCode('M'),
      kind: 'jukebox',
      acquiredOn: '2025-01-01',
      placement: { siteId: site.id, placedOn: '2025-02-01' },
      installation: { gameId: game.id, installedOn: '2025-02-01' },
    };
    const early = { ...command, placement: { ...command.placement, placedOn: '2024-12-31' }, installation: { ...command.installation, installedOn: '2025-02-01' } };
    expect(errorsOf(await office.post('/v1/machines', early).expect(422))).toContain('#/placement/placedOn before-acquisition');
    const unknown = { ...command, installation: { ...command.installation, gameId: site.id } };
    expect(errorsOf(await office.post('/v1/machines', unknown).expect(422))).toEqual(['#/installation/gameId unknown']);
    const found = await office.get(`/v1/machines?search=${command.tag}`).expect(200);
    expect(found.body.items).toEqual([]);

    const made = await office.post('/v1/machines', command).expect(201);
    expect(made.body.placement).toMatchObject({ siteId: site.id, placedOn: '2025-02-01' });
    const installed = await office.get(`/v1/installations?machineId=${made.body.id}`).expect(200);
    expect(installed.body.items).toMatchObject([{ gameId: game.id, installedOn: '2025-02-01', removedOn: null }]);
    const again = { ...command, tag: nextCode('M'), placement: { ...command.placement, id: made.body.placement.id } };
    expect(errorsOf(await office.post('/v1/machines', again).expect(409))).toEqual(['#/placement/id taken']);
  });

  it('has a tag of its own', async () => {
    const machine = await makeMachine(office);
    const answer = await office.post('/v1/machines', { tag: machine['tag'], kind: 'jukebox', acquiredOn: '2025-01-01' }).expect(409);
    expect(errorsOf(answer)).toEqual(['#/tag taken']);
    // Tags are the operator's own: another operator's machine may carry the same.
    await makeMachine(api.other.as('owner'), { tag: machine['tag'] });
  });

  it('is not disposed of while it stands somewhere', async () => {
    const site = await makeSite(office);
    const machine = await makeMachine(office);
    await makePlacement(office, { machineId: machine.id, siteId: site.id, placedOn: '2025-02-01' });
    const answer = await office.patch(`/v1/machines/${machine.id}`, { disposedOn: '2025-06-01' }).set('If-Match', etag(machine)).expect(422);
    expect(errorsOf(answer)).toEqual(['#/disposedOn still-placed']);
    const late = await office.patch(`/v1/machines/${machine.id}`, { acquiredOn: '2025-02-02' }).set('If-Match', etag(machine)).expect(422);
    expect(errorsOf(late)).toEqual(['#/acquiredOn after-first-placement']);
  });

  it('stands where its site says it is today', async () => {
    // The test's clock stands at 2026-03-31 12:00 UTC: in Auckland it is 1 April already.
    const site = await makeSite(office, { timeZone: 'Pacific/Auckland' });
    const [going, coming] = [await makeMachine(office), await makeMachine(office)];
    await makePlacement(office, { machineId: going.id, siteId: site.id, removedOn: '2026-04-01' });
    await makePlacement(office, { machineId: coming.id, siteId: site.id, placedOn: '2026-04-01' });
    const here = await office.get(`/v1/machines?siteId=${site.id}`).expect(200);
    expect(here.body.items.map((machine: { id: string }) => machine.id)).toEqual([coming.id]);
    const inShop = await office.get(`/v1/machines?placed=no&search=${String(going['tag'])}`).expect(200);
    expect(inShop.body.items.map((machine: { id: string }) => machine.id)).toContain(going.id);
  });

  it.each([
    [{ kind: 'Pool Table' }, '#/kind wrong-format'],
    [{ tag: '' }, '#/tag wrong-format'],
    [{ acquiredOn: 'yesterday' }, '#/acquiredOn wrong-format'],
    [{ serialNumber: 'a\u0000b' }, '#/serialNumber wrong-format'],
    [{ colour: 'red' }, '#/colour unknown-field'],
  ])('is refused with %j', async (wrong, expected) => {
    const answer = await office.post('/v1/machines', { tag: nextCode('M'), kind: 'jukebox', acquiredOn: '2025-01-01', ...wrong }).expect(400);
    expect(errorsOf(answer)).toEqual([expected]);
  });
});

describe('a game', () => {
  it('is installed in one machine after another, and two games never share one', async () => {
    const machine = await makeMachine(office);
    const [first, second] = [await makeGame(office), await makeGame(office, { title: 'Second Lantern' })];
    const installed = await office.post('/v1/installations', { machineId: machine.id, gameId: first.id, installedOn: '2025-02-01' }).expect(201);
    expect(installed.body).toMatchObject({ machineTag: machine['tag'], gameCode: first['code'], gameTitle: 'Gravel Comet', removedOn: null });
    const clash = await office.post('/v1/installations', { machineId: machine.id, gameId: second.id, installedOn: '2025-03-01' }).expect(422);
    expect(errorsOf(clash)).toEqual(['#/installedOn other-game']);
    expect(clash.body.errors[0].message).toContain(first['code']);

    const replaced = await office.post(`/v1/installations/${installed.body.id}/replace`, { gameId: second.id, replacedOn: '2025-03-01' }).expect(201);
    expect(replaced.body).toMatchObject({ ended: { removedOn: '2025-03-01' }, begun: { gameId: second.id, installedOn: '2025-03-01', removedOn: null } });
    const on = async (day: string) => (await office.get(`/v1/installations?machineId=${machine.id}&on=${day}`).expect(200)).body.items.map((row: { gameId: string }) => row.gameId);
    expect([await on('2025-02-28'), await on('2025-03-01')]).toEqual([[first.id], [second.id]]);
    const again = await office.post(`/v1/installations/${installed.body.id}/end`, { removedOn: '2025-04-01' }).expect(409);
    expect(again.body.code).toBe('wrong-state');
  });

  it('is not in a machine before the operator has it, nor taken out before it came', async () => {
    const machine = await makeMachine(office, { acquiredOn: '2025-03-01' });
    const game = await makeGame(office);
    const early = await office.post('/v1/installations', { machineId: machine.id, gameId: game.id, installedOn: '2025-02-01', removedOn: '2025-01-01' }).expect(422);
    expect(errorsOf(early)).toEqual(['#/installedOn before-acquisition', '#/removedOn not-after-installing']);
    const theirs = await makeGame(api.other.as('owner'));
    const unknown = await office.post('/v1/installations', { machineId: machine.id, gameId: theirs.id, installedOn: '2025-04-01' }).expect(422);
    expect(errorsOf(unknown)).toEqual(['#/gameId unknown']);
  });

  it('has its days corrected', async () => {
    const machine = await makeMachine(office);
    const game = await makeGame(office);
    const made = await office.post('/v1/installations', { machineId: machine.id, gameId: game.id, installedOn: '2025-02-01' }).expect(201);
    const changed = await office.patch(`/v1/installations/${made.body.id}`, { installedOn: '2025-02-03', removedOn: '2025-05-01' }).set('If-Match', '"1"').expect(200);
    expect(changed.body).toMatchObject({ installedOn: '2025-02-03', removedOn: '2025-05-01', revision: 2 });
  });

  it('is recorded, found and renamed', async () => {
    const game = await makeGame(office, { title: 'Amber Turnstile' });
    const found = await office.get('/v1/games?search=turnstile').expect(200);
    expect(found.body.items).toEqual([game]);
    await office.patch(`/v1/games/${game.id}`, { title: 'Amber Gate' }).set('If-Match', etag(game)).expect(200);
    expect((await office.get(`/v1/games/${game.id}`).expect(200)).body).toMatchObject({ title: 'Amber Gate', revision: 2 });
    expect(errorsOf(await office.post('/v1/games', { code: game['code'], title: 'Another', kind: 'jukebox' }).expect(409))).toEqual(['#/code taken']);
  });

  it('in a machine at another site is unknown to a site manager', async () => {
    const [own, other] = [await makeSite(office, { id: api.operator.siteId }), await makeSite(office)];
    const ids: string[] = [];
    for (const site of [own, other]) {
      const machine = await makeMachine(office);
      await makePlacement(office, { machineId: machine.id, siteId: site.id });
      const made = await office.post('/v1/installations', { machineId: machine.id, gameId: (await makeGame(office)).id, installedOn: '2025-02-01' }).expect(201);
      ids.push(made.body.id as string);
    }
    const manager = api.operator.as('site-manager');
    await manager.get(`/v1/installations/${ids[0]}`).expect(200);
    await manager.get(`/v1/installations/${ids[1]}`).expect(404);
    expect((await manager.get('/v1/installations').expect(200)).body.items.map((row: { id: string }) => row.id)).toEqual([ids[0]]);
  });
});

describe('one search over everything', () => {
  const groupsOf = async (client: TestClient, text: string) => {
    const { body } = await client.get(`/v1/search?text=${encodeURIComponent(text)}`).expect(200);
    return (body.groups as { kind: string; items: { id: string; name: string | null; place: string | null }[] }[]).map(({ kind, items }) => [kind, ...items.map(({ id }) => id)]);
  };

  it('finds by all words, wherever they stand, what the role may read, at this operator alone', async () => {
    const site = await makeSite(office, { name: 'Héron Landing 50%' });
    const party = await makeParty(office, { name: 'Heron & Daughters' });
    const person = await makePerson(office, { name: 'Ada Heronwick' });
    const [machine, game] = [await makeMachine(office), await makeGame(office, { title: 'Velvet Comet' })];
    await makePlacement(office, { machineId: machine.id, siteId: site.id });
    await office.post('/v1/installations', { machineId: machine.id, gameId: game.id, installedOn: '2025-02-01' }).expect(201);

    expect(await groupsOf(office, 'HÉRON')).toEqual([['site', site.id], ['machine', machine.id], ['party', party.id], ['person', person.id]]);
    expect(await groupsOf(api.operator.as('collector'), 'heron')).toEqual([['site', site.id], ['machine', machine.id], ['person', person.id]]);
    expect(await groupsOf(office, 'comet LANDING')).toEqual([['machine', machine.id]]);
    expect(await groupsOf(office, '50%')).toEqual([['site', site.id], ['machine', machine.id]]);
    expect(await groupsOf(office, 'hérons')).toEqual([]);
    expect(await groupsOf(office, 'he_on')).toEqual([]);
    expect(await groupsOf(api.other.as('bookkeeper'), 'heron')).toEqual([]);
    const [found] = (await office.get(`/v1/search?text=${String(machine['tag'])}`).expect(200)).body.groups;
    expect(found).toEqual({ kind: 'machine', more: false, items: [{ id: machine.id, code: machine['tag'], name: 'Velvet Comet', place: 'Héron Landing 50%', startsOn: null }] });
    expect(errorsOf(await office.get('/v1/search?text=a').expect(400))).toEqual(['text too-small']);
  });

  it('gives the exact code first, then what begins with the text, and says that there is more', async () => {
    const codes = ['ZQ', 'AZQ', ...Array.from({ length: 8 }, (_, place) => `ZQ${place}`)];
    for (const code of codes) await makeSite(office, { code });
    const [group] = (await office.get('/v1/search?text=zq').expect(200)).body.groups;
    expect(group.items.map((item: { code: string }) => item.code)).toEqual(['ZQ', 'ZQ0', 'ZQ1', 'ZQ2', 'ZQ3', 'ZQ4', 'ZQ5']);
    expect(group.more).toBe(true);
  });
});
