import { randomUUID } from 'node:crypto';
import type { OwnStops } from '#contracts/round';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let collector: TestClient;

beforeAll(async () => {
  api = await startTestApi();
  collector = api.operator.as('collector');
});
afterAll(() => api?.close());

test('whoever sent visits that wait with the office, and nobody else, is told which they may withdraw: where, when, and nothing that was counted', async () => {
  const { site, machine } = await makeRunningSite(api.operator.as('bookkeeper'), { site: { name: 'Quay Tavern' } });
  const device = (await collector.post('/v1/devices', { name: 'Orla’s phone' }).expect(201)).body as { id: string; secret: string };
  const sent = async (sequence: number, visit: object) => {
    const body = { id: randomUUID(), deviceId: device.id, deviceSecret: device.secret, sequence, visit };
    await collector.post('/v1/visits', body).expect(201);
    return body.id;
  };
  const counts = [{ machineTag: machine['tag'], coin: { amount: '741.25', currency: 'USD' } }];
  const [one, two] = [await sent(1, { siteId: site.id, happenedAt: 'this morning', counts }), await sent(2, { siteId: randomUUID(), happenedAt: '2026-03-31T14:00:00Z', counts })];
  const shown = async (client: TestClient) => ((await client.get('/v1/own-stops').expect(200)).body as OwnStops).keptVisits;
  const receivedAt = expect.any(String) as string;
  expect(await shown(collector)).toHaveLength(2);
  expect(await shown(collector)).toEqual(
    expect.arrayContaining([
      { id: one, siteName: 'Quay Tavern', happenedAt: 'this morning', receivedAt, why: { code: 'invalid-request', errors: expect.arrayContaining([expect.objectContaining({ pointer: '#/happenedAt' })]) as unknown } },
      { id: two, siteName: null, happenedAt: '2026-03-31T14:00:00Z', receivedAt, why: expect.any(Object) as unknown },
    ]),
  );
  expect(await shown(await api.operator.newMember('collector'))).toEqual([]);
  await collector.post(`/v1/visits/${one}/withdraw`, { reason: 'Entered on paper.' }).expect(200);
  expect((await shown(collector)).map(({ id }) => id)).toEqual([two]);
  await api.operator.as('owner').post(`/v1/visits/${two}/discard`, { reason: 'There is no such site.' }).expect(200);
  expect(await shown(collector)).toEqual([]);
});
