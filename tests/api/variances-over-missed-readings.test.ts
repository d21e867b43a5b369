import type { CollectionVariances } from '#contracts/variance';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection } from '#tests/support/collecting';
import { fitBoard, meterFields } from '#tests/support/metering';
import { makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let office: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  office = api.operator.as('bookkeeper');
});
afterAll(() => api?.close());

const at = (day: number) => `2026-05-${String(day).padStart(2, '0')}T12:00:00-05:00`;

/** A machine with a meter of quarters and one of test plays, both at 0 on the first of May. */
async function bar() {
  const running = await makeRunningSite(office);
  const { meterIds } = await fitBoard(office, running.machine.id, { fittedAt: at(1), meters: [meterFields({ value: '0' }), meterFields({ label: 'Tests', tender: 'test-plays', value: '0' })] });
  const [coins, tests] = meterIds;
  const counted = (day: number, coin: string, read: { readonly coins?: string; readonly tests?: string }, more: object = {}) => {
    const readings = [{ meterId: coins, value: read.coins }, { meterId: tests, value: read.tests }].filter(({ value }) => value !== undefined);
    return makeAcceptedCollection(office, running.site, [count(running.machine, coin, '0.00', { readings })], { happenedAt: at(day), ...more });
  };
  return { ...running, counted };
}

async function linesOf(collectionId: string) {
  const { items } = (await office.get(`/v1/collections/${collectionId}/variances`).expect(200)).body as CollectionVariances;
  return items.map(({ tender, expected, counted, variance, counts, unknown, since }) => [tender, expected?.amount ?? null, counted.amount, variance?.amount ?? null, counts, since?.slice(0, 10) ?? null, ...unknown]);
}

test('where one meter of the coins was missed, all that its coins counted since is held against all that was counted since', async () => {
  const { counted } = await bar();
  const whole = await counted(5, '25.00', { coins: '100', tests: '0' });
  expect(await linesOf(whole.id)).toEqual([['coin', '25.00', '25.00', '0.00', 1, '2026-05-01']]);
  const missed = await counted(9, '100.00', { coins: '500' });
  expect(await linesOf(missed.id)).toEqual([['coin', null, '100.00', null, 1, '2026-05-05', 'not-read']]);
  const later = await counted(13, '99.00', { coins: '900', tests: '4' });
  expect(await linesOf(later.id)).toEqual([['coin', '199.00', '199.00', '0.00', 2, '2026-05-05']]);
  const next = await counted(17, '25.00', { coins: '1000', tests: '4' });
  expect(await linesOf(next.id)).toEqual([['coin', '25.00', '25.00', '0.00', 1, '2026-05-13']]);
});

test('meters that are missed by turns make one comparison, back to the last visit at which all were read', async () => {
  const { counted } = await bar();
  await counted(5, '25.00', { coins: '100', tests: '0' });
  await counted(9, '10.00', { coins: '140' });
  await counted(13, '10.00', { tests: '4' });
  const later = await counted(17, '14.00', { coins: '240', tests: '4' });
  expect(await linesOf(later.id)).toEqual([['coin', '34.00', '34.00', '0.00', 3, '2026-05-05']]);
});
