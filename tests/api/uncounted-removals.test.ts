import type { MeterTasks } from '#contracts/meter-task';
import type { Settlement } from '#contracts/settlement';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, usd } from '#tests/support/collecting';
import { inMay as at, twoMeteredSites } from '#tests/support/metered-move';
import { etag } from '#tests/support/set-up';

const MAY = '2026-05-01';

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
});
afterAll(() => api?.close());

test('a box that nobody can count any more holds no settlement for ever: the owner lets it pass with a reason, and a count that turns up is paid all the same', async () => {
  const [office, collector, owner] = (['bookkeeper', 'collector', 'owner'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient, TestClient];
  const { from, machine, counted, read, move } = await twoMeteredSites({ office, collector });
  await counted(from.site, 8, '100.00', '400');
  await read('removal', at(12, 9), '450');
  await move();
  await closeMonth(api, MAY);
  const draft = () => settlementOf(api, { siteId: from.site.id, startsOn: MAY });
  const review = async () => office.post(`/v1/settlements/${(await draft()).id}/review`).set('If-Match', etag(await draft()));
  expect((await review()).body).toMatchObject({ code: 'cannot-be-settled', detail: expect.stringContaining(machine['tag'] as string) });
  const override = async (client: TestClient) => client.post(`/v1/settlements/${(await draft()).id}/flag-override`, { reason: 'The box was stolen on the way' });
  expect((await override(office)).status).toBe(403);
  const passed = await override(owner);
  expect([passed.status, (passed.body as Settlement).history]).toEqual([200, expect.arrayContaining([expect.objectContaining({ kind: 'flags-overridden', note: 'The box was stolen on the way' })])]);
  expect((await override(owner)).body).toMatchObject({ status: 409, code: 'wrong-state' });
  // It is still listed as something to be entered, and nothing is paid of what nobody counted.
  const removals = async () => ((await office.get(`/v1/meter-tasks?machineId=${machine.id}`).expect(200)).body as MeterTasks).removals;
  expect(await removals()).toHaveLength(1);
  expect([(await review()).status, (await draft()).totals.takings]).toEqual([200, usd('100.00')]);
  await makeAcceptedCollection(office, from.site, [count(machine, '12.50', '0.00', { removal: true })], { happenedAt: at(12, 10) });
  expect(await removals()).toEqual([]);
  await office.post(`/v1/settlements/${(await draft()).id}/recompute`).expect(200);
  expect((await draft()).totals.takings).toEqual(usd('112.50'));
});
