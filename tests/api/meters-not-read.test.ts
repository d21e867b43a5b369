import type { VarianceMonth } from '#contracts/variance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { etag, goByMeters, makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;
let reviewer: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [office, reviewer] = (['bookkeeper', 'reviewer'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient];
});
afterAll(() => api?.close());

const MAY = '2026-05-01';
const at = (day: number) => `2026-05-${String(day).padStart(2, '0')}T12:00:00-05:00`;

async function bar() {
  const running = await makeRunningSite(office);
  const { meterId } = await fitBoard(office, running.machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' })] });
  const counted = (day: number, coin: string, value: string | null) =>
    makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00', { readings: value === null ? [] : [{ meterId, value }] })], { happenedAt: at(day) });
  const flags = async () => {
    const month = (await reviewer.get(`/v1/variances?month=2026-05&siteId=${running.site.id}`).expect(200)).body as VarianceMonth;
    return month.flags.map(({ localDate, reasons }) => [localDate, reasons]);
  };
  return { ...running, counted, flags };
}

test('meters that were not read twice in a row are for somebody to look at, once is no matter', async () => {
  const { counted, flags } = await bar();
  await counted(5, '25.00', null);
  await counted(8, '25.00', '200');
  await counted(12, '25.00', null);
  expect(await flags()).toEqual([]);
  await counted(15, '25.00', null);
  expect(await flags()).toEqual([['2026-05-15', ['meters-not-read']]]);
});

test('where a site is paid by the meters, its settlement waits as soon as they were not read', async () => {
  const running = await bar();
  await goByMeters(office, running);
  await running.counted(5, '100.00', null);
  expect(await running.flags()).toEqual([['2026-05-05', ['meters-not-read']]]);
  await closeMonth(api, MAY);
  const settlement = await settlementOf(api, { siteId: running.site.id, startsOn: MAY });
  expect((await office.post(`/v1/settlements/${settlement.id}/review`).set('If-Match', etag(settlement)).expect(409)).body).toMatchObject({ code: 'flags-open' });
});
