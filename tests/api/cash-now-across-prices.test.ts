import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, usd } from '#tests/support/collecting';
import { fitBoard } from '#tests/support/metering';
import { makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
beforeAll(async () => {
  api = await startTestApi();
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

test('the cash that a machine reports is split at a change of price by what the meter showed then, once that is entered', async () => {
  const { site, machine } = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, machine.id);
  await makeAcceptedCollection(office, site, [count(machine, '40.00', '0.00', { readings: [{ meterId, value: '00500' }] })], { happenedAt: '2026-03-20T18:00:00Z' });
  const { secret } = (await office.post('/v1/machine-tokens', { machineId: machine.id }).expect(201)).body as { secret: string };
  const report = (value: string, readAt: string) =>
    api.anonymous.post('/v1/machine-reports').set('Authorization', `Bearer ${secret}`).send({ machineTag: machine['tag'], readings: [{ meter: 'Coins', value, readAt }] }).expect(200);
  await report('00580', '2026-03-31T11:00:00Z');
  const cash = async () => ((await office.get('/v1/collections-due').expect(200)).body.items as { siteId: string; cash: object }[]).find(({ siteId }) => siteId === site.id)?.cash;
  expect(await cash()).toEqual(usd('20.00'));
  const price = (body: object) => office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'price-change', happenedAt: '2026-03-30T09:00:00Z', ...body }).expect(201);
  await price({ newUnitValues: [{ meterId, unitValue: usd('0.50') }] });
  expect(await cash()).not.toEqual(usd('25.00'));
  // 60 at 0.25 and 20 at 0.50.
  await price({ readings: [{ meterId, value: '00560' }] });
  expect(await cash()).toEqual(usd('25.00'));
});
