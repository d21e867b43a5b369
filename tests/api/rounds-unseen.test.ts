import type { VarianceMonth } from '#contracts/variance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection } from '#tests/support/collecting';
import { inMay as at, variancesOf } from '#tests/support/metered-move';
import { fitBoard, meterFields } from '#tests/support/metering';
import { makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let reviewer: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [office, reviewer] = (['bookkeeper', 'reviewer'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient];
});
afterAll(() => api?.close());

test('a box that holds as much more as a meter counts in a whole round is asked about where there was time for one, and is no matter of it elsewhere', async () => {
  // Three digits show 1,000 quarters, which are 250.00; 20 an hour run through them in 50 hours.
  const counted = async (coin: string, mostPerHour: number) => {
    const { site, machine } = await makeRunningSite(office);
    const { meterId } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ value: '100', digits: 3, mostPerHour })] });
    const { id } = await makeAcceptedCollection(office, site, [count(machine, coin, '0.00', { readings: [{ meterId, value: '300' }] })], { happenedAt: at(15) });
    expect((await variancesOf(reviewer, id)).map(([expected, counted]) => [expected, counted])).toEqual([['50.00', coin]]);
    const { flags } = (await reviewer.get(`/v1/variances?month=2026-05&siteId=${site.id}`).expect(200)).body as VarianceMonth;
    return flags.map(({ reasons }) => reasons);
  };
  expect(await counted('298.00', 20)).toEqual([['round-unseen', 'tolerance']]);
  expect(await counted('298.00', 2)).toEqual([['tolerance']]);
  expect(await counted('90.00', 20)).toEqual([['tolerance']]);
  expect(await counted('50.00', 20)).toEqual([]);
});
