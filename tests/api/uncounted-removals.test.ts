import type { MeterTasks } from '#contracts/meter-task';
import type { Problem } from '#contracts/problem';
import type { Settlement } from '#contracts/settlement';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, reviewMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, usd } from '#tests/support/collecting';
import { inMay as at, twoMeteredSites } from '#tests/support/metered-move';
import { etag } from '#tests/support/set-up';

const MAY = '2026-05-01';

let api: TestApi;
/** What a refused review named, as the owner lets it pass. */
const shownIn = ({ errors = [] }: Problem) => ({ flagIds: errors.flatMap(({ values }) => values?.['flagId'] ?? []), placementIds: errors.flatMap(({ values }) => values?.['placementId'] ?? []) });

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
  const inTheWay = (await review()).body as Problem;
  const values = { machine: machine['tag'], machineId: machine.id, site: from.site['code'], day: '2026-05-12', placementId: from.placement.id };
  expect(inTheWay).toMatchObject({ code: 'boxes-not-counted', detail: expect.stringContaining(machine['tag'] as string), errors: [{ code: 'box-not-counted', values }] });
  const override = async (client: TestClient) => client.post(`/v1/settlements/${(await draft()).id}/flag-override`, { reason: 'The box was stolen on the way', ...shownIn(inTheWay) });
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

test('flags and uncounted boxes are refused together, and only what was named passes: what has come up since is refused by name', async () => {
  // Books of their own: a month is closed once.
  const operator = api.other;
  const [office, collector, owner] = (['bookkeeper', 'collector', 'owner'] as const).map((role) => operator.as(role)) as [TestClient, TestClient, TestClient];
  const { from, machine, counted, read, move } = await twoMeteredSites({ office, collector });
  await counted(from.site, 8, '50.00', '200');
  await read('removal', at(12, 9), '450');
  await move();
  const close = await closeMonth({ operator }, MAY);
  const draft = () => settlementOf({ operator }, { siteId: from.site.id, startsOn: MAY });
  const review = async () => (await office.post(`/v1/settlements/${(await draft()).id}/review`).set('If-Match', etag(await draft()))).body as Problem;
  const override = async (shown: object) => (await owner.post(`/v1/settlements/${(await draft()).id}/flag-override`, { reason: 'Nobody knows any more', ...shown })).body as Problem & Settlement;
  const boxAlone = await review();
  expect(boxAlone.errors).toEqual([expect.objectContaining({ code: 'box-not-counted' })]);

  // A count that differs from the meters is accepted while the owner reads: 5.00, where 240 pulses of 0.25 are 60.00.
  await counted(from.site, 10, '5.00', '440');
  await owner.post(`/v1/settlements/${(await draft()).id}/recompute`).expect(200);
  const both = await review();
  expect(both).toMatchObject({ code: 'flags-open', errors: [{ code: 'flag-not-explained', values: { machine: machine['tag'], site: from.site['code'], day: '2026-05-10' } }, { code: 'box-not-counted' }] });
  expect(both.detail).toMatch(/^Not explained: .* of 10 May 2026\. The terms go by the meters, /);
  // Reviewed with all others, it names the machine by its id, so that a list can lead there.
  const entry = { code: 'flags-open', siteId: from.site.id, machines: [{ id: machine.id, tag: machine['tag'] }] };
  expect((await reviewMonth({ operator }, close.id)).failures).toEqual(expect.arrayContaining([expect.objectContaining(entry)]));
  const history = (await draft()).history;
  expect(await override(shownIn(boxAlone))).toMatchObject({ status: 409, code: 'others-in-the-way', errors: [{ code: 'flag-not-explained' }] });
  expect(await override({ ...shownIn(both), placementIds: [] })).toMatchObject({ status: 409, code: 'others-in-the-way', errors: [{ code: 'box-not-counted' }] });
  expect(await override({})).toMatchObject({ status: 400, errors: [{ pointer: '#/flagIds', code: 'missing' }, { pointer: '#/placementIds', code: 'missing' }] });
  expect((await draft()).history).toEqual(history);
  expect((await override(shownIn(both))).history.at(-1)).toMatchObject({ kind: 'flags-overridden', note: 'Nobody knows any more' });
  expect(await review()).toMatchObject({ state: 'reviewed' });
});
