import type { Earnings } from '#contracts/earnings';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { makeCollection, usd } from '#tests/support/collecting';
import { errorsOf, makeGame, makeMachine, makePlacement, makeRunningSite, type Made } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let answer: Earnings;
let [bar, shop, strong, weak]: Made[] = [];

const day = (week: number): string => new Date(Date.UTC(2025, 0, 1 + 7 * week)).toISOString().slice(0, 10);
const WEEKS = 30;

/** Two places with two cabinets each; both games are at each place, change cabinets in the middle, and end at the wrong place. */
beforeAll(async () => {
  api = await startTestApi({ now: '2025-09-01T15:00:00Z' });
  office = api.operator.as('owner');
  [strong, weak] = [await makeGame(office, { title: 'Lantern Run' }), await makeGame(office, { title: 'Brick Harbour' })];
  const places = [await makeRunningSite(office), await makeRunningSite(office)];
  [bar, shop] = places.map(({ site }) => site);
  const visits: Promise<Made>[] = [];
  for (const [index, { site, machine }] of places.entries()) {
    const second = await makeMachine(office);
    await makePlacement(office, { machineId: second.id, siteId: site.id });
    const installed = [strong, weak].map(async (game, position) => (await office.post('/v1/installations', { machineId: [machine, second][position]?.id, gameId: game?.id, installedOn: '2025-01-01' }).expect(201)).body as Made);
    const [first] = await Promise.all(installed);
    // From the tenth week on the bar has the weak game in both cabinets, the shop the strong one.
    const left = index === 0 ? first : (await Promise.all(installed))[1];
    for (let week = 1; week <= WEEKS; week += 1) {
      if (week === 10) await office.post(`/v1/installations/${left?.id ?? ''}/replace`, { gameId: (index === 0 ? weak : strong)?.id, replacedOn: day(9) }).expect(201);
      const earns = (game: 'strong' | 'weak'): string => `${((index === 0 ? 3 : 1) * (game === 'strong' ? 140 : 70) + (week % 3) * 7).toFixed(2)}`;
      const inFirst = week < 10 || index === 1 ? 'strong' : 'weak';
      const inSecond = week < 10 || index === 0 ? 'weak' : 'strong';
      const counts = [
        { machineTag: machine['tag'], coin: usd(earns(inFirst)), note: usd('0.00') },
        { machineTag: second['tag'], coin: usd(earns(inSecond)), note: usd('0.00') },
      ];
      visits.push(makeCollection(office, site, counts, { happenedAt: `${day(week)}T10:00:00-06:00` }));
    }
  }
  const collectionIds = (await Promise.all(visits)).map(({ id }) => id);
  await office.post('/v1/collections/accept', { collectionIds }).expect(200);
  answer = (await office.get(`/v1/earnings?from=2025-01-01&before=${day(WEEKS + 1)}`).expect(200)).body as Earnings;
}, 120_000);
afterAll(() => api?.close());

it('as a file has a line per place, cabinet, game and swap, with the figures of the answer', async () => {
  const path = `/v1/earnings/export?from=2025-01-01&before=${answer.before}`;
  const lines = (await api.operator.as('auditor').get(path).expect(200)).text.trimEnd().split('\r\n');
  const [place] = answer.places;
  expect(lines[1]).toBe(['place', place?.siteCode, place?.siteName, '', place?.days, 'USD', place?.takings.amount, place?.perDay.amount, place?.trendPercent, place?.effect?.percent, place?.effect?.least, place?.effect?.most, '', '', '', '', ''].join(','));
  expect(lines.length - 1).toBe(answer.places.length + answer.cabinets.length + answer.games.length + answer.swaps.length);
  await api.operator.as('collector').get(path).expect(403);
});

it('tells takings a day of places, cabinets and games, which add up to what was counted', () => {
  expect(answer.places.map(({ siteId }) => siteId)).toEqual([bar?.id, shop?.id]);
  const sum = (list: readonly { takings: { amount: string } }[]): number => Math.round(list.reduce((total, { takings }) => total + Number(takings.amount) * 100, 0));
  const counted = api.operator.inBooks(async (tx) => (await tx.sql<{ minor: bigint }>('SELECT sum(coin_minor + note_minor)::bigint AS minor FROM box_count')).rows[0]?.minor);
  expect([sum(answer.places), sum(answer.cabinets), sum(answer.games)]).toEqual([sum(answer.places), sum(answer.places), sum(answer.places)]);
  expect(answer.places.every(({ days }) => days === 2 * 7 * WEEKS)).toBe(true);
  expect(answer.leftOut).toEqual({ changed: 0, otherCurrencies: 0 });
  return expect(counted).resolves.toBe(BigInt(sum(answer.places)));
});

it('tells a good place from a good game, each with its range', () => {
  const [barEffect, shopEffect] = [answer.places[0]?.effect, answer.places[1]?.effect];
  const of = (game: Made | undefined) => answer.games.find(({ gameId }) => gameId === game?.id)?.effect;
  expect(barEffect?.least).toBeGreaterThan(0);
  expect(shopEffect?.most).toBeLessThan(0);
  expect(of(strong)?.least).toBeGreaterThan(0);
  expect(of(weak)?.most).toBeLessThan(0);
});

it('finds the swap that brings the stronger game to the better place', () => {
  expect(answer.swaps.length).toBeGreaterThanOrEqual(1);
  const [swap] = answer.swaps;
  expect(swap).toMatchObject({ first: { siteId: bar?.id, title: 'Brick Harbour' }, second: { siteId: shop?.id, title: 'Lantern Run' } });
  // By the figures above 20.00 a day, as 61.00 + 11.00 would stand against 31.00 + 21.00; drawn towards nothing.
  expect(Number(swap?.least.amount)).toBeGreaterThan(0);
  expect(Number(swap?.gainPerDay.amount)).toBeGreaterThan(10);
  expect(Number(swap?.gainPerDay.amount)).toBeLessThan(20);
});

it('measures the days of a count from the emptying before it, also while the count of that waits, and not from one that was discarded', async () => {
  const { site, machine } = await makeRunningSite(office);
  const visit = (on: string, coin: string) => makeCollection(office, site, [{ machineTag: machine['tag'], coin: usd(coin), note: usd('0.00') }], { happenedAt: `${on}T10:00:00-06:00` });
  // Not by who made the visits: what waits there is kept from them.
  const perDay = async () => ((await api.operator.as('auditor').get('/v1/earnings?from=2025-03-02&before=2025-04-01').expect(200)).body as Earnings).places.find(({ siteId }) => siteId === site.id)?.perDay;
  const [first, older, newer] = [await visit('2025-03-01', '10.00'), await visit('2025-03-08', '70.00'), await visit('2025-03-15', '100.00')];
  await office.post('/v1/collections/accept', { collectionIds: [first.id, newer.id] }).expect(200);
  // 100.00 in seven days.
  expect(await perDay()).toEqual(usd('14.29'));
  await api.operator.as('bookkeeper').post(`/v1/collections/${older.id}/discard`, { reason: 'Entered for another place.' }).expect(200);
  expect(await perDay()).toEqual(usd('7.14'));
});

it('says how the estimates are made, refuses days that make no sense, and is nothing for collectors and sites', async () => {
  expect(answer.model).toContain('least squares');
  expect(errorsOf(await office.get('/v1/earnings?from=2025-02-01&before=2025-01-01').expect(400))).toEqual(['before before-start']);
  expect(errorsOf(await office.get('/v1/earnings?from=2020-02-01&before=2025-01-01').expect(400))).toEqual(['before too-long']);
  await api.operator.as('collector').get('/v1/earnings?from=2025-01-01&before=2025-02-01').expect(403);
  await api.operator.as('site-manager').get('/v1/earnings?from=2025-01-01&before=2025-02-01').expect(403);
  expect(((await api.other.as('owner').get('/v1/earnings?from=2025-01-01&before=2025-02-01').expect(200)).body as Earnings).places).toEqual([]);
});
