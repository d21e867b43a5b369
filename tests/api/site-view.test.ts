/** What a site manager sees, and everything that stays unseen. */
import { hashPassword } from '#backoffice/identity/password';
import type { Settlement } from '#contracts/settlement';
import type { SiteView } from '#contracts/site-view';
import { apiForAllTests, createUser, TEST_PASSWORD, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, issueMonth, reviewMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection, usd } from '#tests/support/collecting';
import { goByMeters, makeRunningSite, type Made } from '#tests/support/set-up';

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

async function siteWithCash(): Promise<Running> {
  const running = await makeRunningSite(office);
  await makeAcceptedCollection(office, running.site, [count(running.machine)]);
  return running;
}

const readOne = async (client: TestClient, id: string): Promise<Settlement> => (await client.get(`/v1/settlements/${id}`).expect(200)).body as Settlement;
const viewOf = async (client: TestClient): Promise<SiteView> => (await client.get('/v1/site-view').expect(200)).body as SiteView;

/** A site manager of several sites. */
async function managerOf(siteIds: readonly string[]): Promise<TestClient> {
  const passwordHash = await hashPassword(TEST_PASSWORD);
  return createUser({ db: api.db, clock: api.clock, url: api.url, passwordHash }, { tenantId: operator.tenantId, role: 'site-manager', siteIds });
}

describe('a site manager', () => {
  async function ownSite(): Promise<Running> {
    return makeRunningSite(office, { site: { id: operator.siteId } });
  }
  const manager = (): TestClient => operator.as('site-manager');

  it('sees the issued settlements of their own site with derivation and file, and nobody else\'s', async () => {
    const own = await ownSite();
    await makeAcceptedCollection(office, own.site, [count(own.machine)]);
    const others = await siteWithCash();
    const close = await closeMonth(api, MARCH);
    const [ownId, othersId] = [(await settlementOf(api, { siteId: own.site.id, startsOn: MARCH })).id, (await settlementOf(api, { siteId: others.site.id, startsOn: MARCH })).id];
    await manager().get(`/v1/settlements/${ownId}`).expect(404);
    await manager().get(`/v1/settlements/${ownId}/statement`).expect(404);
    await issueMonth(api, close.id);

    const seen = await readOne(manager(), ownId);
    expect(seen.lines.some((line) => line.kind === 'share' && line.why !== null)).toBe(true);
    expect(seen.history).toEqual([{ kind: 'issued', note: null, happenedAt: '2026-04-02T15:00:00.000Z', happenedBy: 'operator', orderedBy: null }]);
    expect(((await manager().get('/v1/settlements').expect(200)).body as { items: Made[] }).items.map((row) => row.id)).toEqual([ownId]);
    await manager().get(`/v1/settlements/${ownId}/statement`).expect(200);
    for (const path of ['', '/statement']) await manager().get(`/v1/settlements/${othersId}${path}`).expect(404);
    expect((await manager().get(`/v1/settlements?siteId=${others.site.id}`).expect(200)).body).toEqual({ items: [], next: null });
  });

  it('sees the share so far from accepted collections alone', async () => {
    const { site, machine } = await ownSite();
    const visited = (day: string, hour: string) => ({ happenedAt: `2026-04-0${day}T${hour}:00:00-05:00` });
    await makeAcceptedCollection(office, site, [count(machine, '100.00', '0.00')], visited('1', '12'));
    await makeCollection(office, site, [count(machine, '500.00', '0.00')], visited('2', '08'));
    const view = (await manager().get('/v1/site-view').expect(200)).body as SiteView;
    expect(view.sites).toEqual([
      {
        siteId: site.id,
        siteCode: site['code'],
        siteName: site['name'],
        soFar: { startsOn: '2026-04-01', endsBefore: '2026-05-01', takings: usd('100.00'), siteShare: usd('40.00'), collectedUntil: '2026-04-01' },
        settlements: [],
      },
    ]);
  });

  it('sees an empty period and what was issued before it', async () => {
    const { site, machine } = await ownSite();
    await makeAcceptedCollection(office, site, [count(machine)]);
    await issueMonth(api, (await closeMonth(api, MARCH)).id);
    const view = (await manager().get('/v1/site-view').expect(200)).body as SiteView;
    expect(view.sites[0]).toMatchObject({
      soFar: { takings: usd('0.00'), siteShare: usd('0.00'), collectedUntil: null },
      settlements: [{ startsOn: MARCH, siteShare: usd('64.20'), payable: usd('64.20'), statementAvailable: true }],
    });
  });

  it('sees beside each statement whether it is new: until they have taken the file, each for themselves', async () => {
    const { site, machine } = await ownSite();
    await makeAcceptedCollection(office, site, [count(machine)]);
    await issueMonth(api, (await closeMonth(api, MARCH)).id);
    const { id } = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    const colleague = await managerOf([site.id]);
    const isNew = async (client: TestClient): Promise<boolean | undefined> => (await viewOf(client)).sites[0]?.settlements[0]?.isNew;
    expect(await isNew(manager())).toBe(true);
    await office.get(`/v1/settlements/${id}/statement`).expect(200);
    await manager().get(`/v1/settlements/${id}`).expect(200);
    expect(await isNew(manager())).toBe(true);
    for (let times = 0; times < 2; times += 1) await manager().get(`/v1/settlements/${id}/statement`).expect(200);
    expect([await isNew(manager()), await isNew(colleague)]).toEqual([false, true]);
  });

  it('sees beside each statement how far it is paid, and whether the office answered what was asked', async () => {
    const { site, machine, agreement } = await ownSite();
    await makeAcceptedCollection(office, site, [count(machine)]);
    await issueMonth(api, (await closeMonth(api, MARCH)).id);
    const { id } = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    const seen = async () => {
      const { payment, question } = (await viewOf(manager())).sites[0]?.settlements[0] ?? {};
      return { payment, question };
    };
    expect(await seen()).toEqual({ payment: { state: 'open', toPay: usd('64.20'), toReceive: usd('0.00') }, question: null });
    await manager().post(`/v1/settlements/${id}/question`, { note: 'Was the jukebox counted?' }).expect(200);
    await office.post('/v1/payments', { agreementId: agreement.id, amount: usd('60.00'), method: 'bank', paidOn: '2026-04-01' }).expect(201);
    expect(await seen()).toEqual({ payment: { state: 'partly-paid', toPay: usd('4.20'), toReceive: usd('0.00') }, question: { state: 'open', at: '2026-04-02T15:00:00.000Z' } });
    api.clock.advance({ milliseconds: 60_000 });
    await office.post(`/v1/settlements/${id}/answer`, { note: 'Yes, on the 20th.' }).expect(200);
    await office.post('/v1/payments', { agreementId: agreement.id, amount: usd('4.20'), method: 'bank', paidOn: '2026-04-01' }).expect(201);
    expect(await seen()).toEqual({ payment: { state: 'paid', toPay: usd('0.00'), toReceive: usd('0.00') }, question: { state: 'answered', at: '2026-04-02T15:01:00.000Z' } });
  });

  it('is the only one with such a view', async () => {
    for (const role of ['owner', 'bookkeeper', 'collector', 'auditor'] as const) await operator.as(role).get('/v1/site-view').expect(403);
  });

  it('sees nothing of a settlement before it is issued: not by its id, not in a list, not in the view', async () => {
    const { site, machine } = await ownSite();
    await makeAcceptedCollection(office, site, [count(machine)]);
    const close = await closeMonth(api, MARCH);
    const { id } = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    const seesNothing = async (): Promise<void> => {
      for (const path of ['', '/statement']) await manager().get(`/v1/settlements/${id}${path}`).expect(404);
      for (const query of ['', `?siteId=${site.id}`, '?state=draft', '?state=reviewed']) {
        expect((await manager().get(`/v1/settlements${query}`).expect(200)).body).toEqual({ items: [], next: null });
      }
      expect((await viewOf(manager())).sites).toMatchObject([{ siteId: site.id, settlements: [] }]);
    };
    await seesNothing();
    await reviewMonth(api, close.id);
    await seesNothing();
  });

  it('sees each of several sites by itself, and no site of another operator', async () => {
    const sites = [await siteWithCash(), await siteWithCash()];
    const hidden = await siteWithCash();
    await makeRunningSite(api.other.as('bookkeeper'));
    await issueMonth(api, (await closeMonth(api, MARCH)).id);
    const client = await managerOf(sites.map(({ site }) => site.id));
    const { sites: seen } = await viewOf(client);
    expect(seen.map((each) => each.siteId).sort()).toEqual(sites.map(({ site }) => site.id).sort());
    for (const each of seen) {
      const [settlement] = each.settlements;
      expect((await readOne(client, settlement?.id ?? '')).siteId).toBe(each.siteId);
    }
    const { id } = await settlementOf(api, { siteId: hidden.site.id, startsOn: MARCH });
    await client.get(`/v1/settlements/${id}`).expect(404);
    await api.other.as('owner').get(`/v1/settlements/${id}`).expect(404);
  });

  it('sees no share where what was recorded cannot be settled, and the other sites all the same', async () => {
    const [unfit, good] = [await makeRunningSite(office), await makeRunningSite(office)];
    for (const { site, machine } of [unfit, good]) {
      await makeAcceptedCollection(office, site, [count(machine, '100.00', '0.00')], { happenedAt: '2026-04-01T12:00:00-05:00' });
    }
    await goByMeters(office, unfit);
    const { sites } = await viewOf(await managerOf([unfit.site.id, good.site.id]));
    const soFar = new Map(sites.map((each) => [each.siteId, each.soFar]));
    expect(soFar.get(unfit.site.id)).toBeNull();
    expect(soFar.get(good.site.id)).toMatchObject({ takings: usd('100.00'), siteShare: usd('40.00') });
  });
});
