import type { MeterPrices } from '#contracts/meter';
import type { MeterTasks } from '#contracts/meter-task';
import type { LateChange } from '#contracts/settlement';
import { apiForAllTests, type TestApi, type TestClient } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, usd } from '#tests/support/collecting';
import { inMay as at, variancesOf } from '#tests/support/metered-move';
import { fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, goByMeters, makeRunningSite } from '#tests/support/set-up';

const [MAY, JUNE] = ['2026-05-01', '2026-06-01'] as const;

let api: TestApi;
let office: TestClient;
let owner: TestClient;
const freshApi = apiForAllTests({ now: '2026-07-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  [office, owner] = [api.operator.as('bookkeeper'), api.operator.as('owner')];
});

/** Plays at 0.50; on the 10th the price becomes 5.00, read at 20, where 1.00 was meant. On the 20th the meter shows 30, and 20.00 is counted unless told otherwise. */
async function mistyped(counted = '20.00') {
  const running = await makeRunningSite(office);
  const { site, machine } = running;
  const { meterIds: [plays = ''] } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ label: 'Plays', tender: 'plays', unitValue: usd('0.50'), value: '0' })] });
  await office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'price-change', happenedAt: at(10), readings: [{ meterId: plays, value: '20' }], newUnitValues: [{ meterId: plays, unitValue: usd('5.00') }] }).expect(201);
  const visit = await makeAcceptedCollection(office, site, [count(machine, counted, '0.00', { readings: [{ meterId: plays, value: '30' }] })], { happenedAt: at(20) });
  const compared = () => variancesOf(api.operator.as('reviewer'), visit.id);
  const correct = (client: TestClient, body: object) => client.post(`/v1/machines/${machine.id}/meter-prices/corrections`, { changedAt: at(10), reason: 'Mistyped', ...body });
  const prices = async () => ((await office.get(`/v1/machines/${machine.id}/meter-prices`).expect(200)).body as MeterPrices).items;
  return { ...running, plays, compared, correct, prices };
}

test('an amount that was mistyped is corrected by somebody else: the first stays legible, and counts are compared again', async () => {
  const { plays, compared, correct, prices, machine } = await mistyped();
  const right = { unitValues: [{ meterId: plays, unitValue: usd('1.00') }] };
  // 20 plays at 0.50 and 10 at 5.00.
  expect(await compared()).toEqual([['60.00', '20.00', '-40.00']]);
  expect((await correct(office, right).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  expect((await correct(api.operator.as('collector'), right).expect(403)).body).toMatchObject({ code: 'not-allowed' });
  await correct(owner, right).expect(201);
  expect(await compared()).toEqual([['20.00', '20.00', '0.00']]);
  const [first, changed] = await prices();
  expect([first?.isFirst, first?.unitValue, first?.before]).toEqual([true, usd('0.50'), []]);
  expect(changed).toMatchObject({ at: '2026-05-10T17:00:00.000Z', unitValue: usd('1.00'), reason: 'Mistyped', isFirst: false, before: [{ unitValue: usd('5.00'), reason: null, at: '2026-05-10T17:00:00.000Z' }] });
  // What a unit was worth as the board was fitted is corrected as well, and holds from then on.
  await correct(owner, { changedAt: at(1), unitValues: [{ meterId: plays, unitValue: usd('0.25') }] }).expect(201);
  expect(await compared()).toEqual([['15.00', '20.00', '5.00']]);
  const boards = (await office.get(`/v1/machines/${machine.id}/counter-boards`).expect(200)).body as { items: { meters: object[] }[] };
  expect(boards.items[0]?.meters).toMatchObject([{ unitValue: usd('1.00') }]);
  const trail = (await owner.get('/v1/audit-trail?kind=meter_value_correction&limit=10').expect(200)).body as { items: object[] };
  expect(trail.items).toHaveLength(2);
});

test('a day that was mistyped is corrected, and what was read at the change goes along', async () => {
  const { plays, compared, correct, machine } = await mistyped();
  await correct(owner, { unitValues: [{ meterId: plays, unitValue: usd('1.00') }] }).expect(201);
  await office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'in-service', happenedAt: at(12), readings: [{ meterId: plays, value: '24' }] }).expect(201);
  // 24 on the 12th: at 20 it cannot have been read on the 14th.
  expect(errorsOf(await correct(office, { at: at(14) }).expect(422))).toEqual(['#/at readings-do-not-fit']);
  expect(errorsOf(await correct(office, { at: '2026-04-30T12:00:00Z' }).expect(422))).toEqual(['#/at not-in-machine']);
  expect(await compared()).toEqual([['20.00', '20.00', '0.00']]);
  await correct(office, { at: at(11) }).expect(201);
  expect(await compared()).toEqual([['20.00', '20.00', '0.00']]);
  const { items } = (await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: { happenedAt: string; occasion: string; value: string | null; replacedById: string | null }[] };
  expect(items.filter(({ occasion, value, replacedById }) => occasion === 'price-change' && value !== null && replacedById === null).map(({ happenedAt, value }) => [happenedAt, value])).toEqual([['2026-05-11T17:00:00.000Z', '00020']]);
  expect(((await office.get(`/v1/meter-tasks?machineId=${machine.id}`).expect(200)).body as MeterTasks).readings).toEqual([]);
  // It is named by the moment that stands.
  expect(errorsOf(await correct(owner, { at: at(9) }).expect(422))).toEqual(['#/changedAt unknown']);
});

test('a change that was moved and is moved back has its reading again, as often as it is moved', async () => {
  const { plays, compared, correct, machine } = await mistyped();
  await correct(owner, { unitValues: [{ meterId: plays, unitValue: usd('1.00') }] }).expect(201);
  const standing = async () => {
    const { items } = (await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: { happenedAt: string; occasion: string; value: string | null; replacedById: string | null }[] };
    return items.filter(({ occasion, value, replacedById }) => occasion === 'price-change' && value !== null && replacedById === null).map(({ happenedAt, value }) => [happenedAt, value]);
  };
  for (const [client, from, to] of [[office, 10, 11], [owner, 11, 10], [office, 10, 11], [owner, 11, 10]] as const) {
    await correct(client, { changedAt: at(from), at: at(to) }).expect(201);
    expect(await standing()).toEqual([[`2026-05-${to}T17:00:00.000Z`, '00020']]);
    expect(await compared()).toEqual([['20.00', '20.00', '0.00']]);
    expect(((await office.get(`/v1/meter-tasks?machineId=${machine.id}`).expect(200)).body as MeterTasks).readings).toEqual([]);
  }
  await correct(office, { at: at(11) }).expect(201);
  await office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'in-service', happenedAt: at(10, 20), readings: [{ meterId: plays, value: '15' }] }).expect(201);
  // 15 on the evening of the 10th: it cannot have shown 20 at noon, whoever wrote that before.
  expect(errorsOf(await correct(owner, { changedAt: at(11), at: at(10) }).expect(422))).toEqual(['#/at readings-do-not-fit']);
});

test('no meter has two prices from one moment, whichever of them was entered there', async () => {
  const { plays, correct, prices, machine } = await mistyped();
  await correct(owner, { at: at(11) }).expect(201);
  const change = (day: number) => office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'price-change', happenedAt: at(day), readings: [], newUnitValues: [{ meterId: plays, unitValue: usd('2.00') }] });
  expect(errorsOf(await change(11).expect(422))).toEqual(['#/newUnitValues/0/meterId taken']);
  expect(await prices()).toHaveLength(2);
});

test('a price that did not change is taken back, and the one before holds on; nothing else is said of a price than what can be', async () => {
  const { plays, compared, correct, prices, machine } = await mistyped();
  for (const [body, error] of [
    [{ withdrawn: true, changedAt: at(1) }, '#/withdrawn first-value'],
    [{ at: at(3), changedAt: at(1) }, '#/at first-value'],
    [{ unitValues: [{ meterId: plays, unitValue: usd('5.00') }] }, '#/unitValues nothing-changed'],
    [{ unitValues: [{ meterId: machine.id, unitValue: usd('1.00') }] }, '#/unitValues/0/meterId unknown'],
    [{ unitValues: [{ meterId: plays, unitValue: usd('0.00') }] }, '#/unitValues/0/unitValue/amount not-positive'],
    [{ unitValues: [{ meterId: plays, unitValue: { amount: '1.00', currency: 'EUR' } }] }, '#/unitValues/0/unitValue/currency other-currency'],
    [{ at: '2026-08-01T12:00:00Z' }, '#/at in-future'],
  ] as const) expect(errorsOf(await correct(owner, body).expect(422))).toEqual([error]);
  expect(errorsOf(await correct(owner, {}).expect(400))).toEqual(['#/unitValues one-of-two']);
  expect(errorsOf(await correct(owner, { withdrawn: true, at: at(11) }).expect(400))).toEqual(['#/unitValues one-of-two']);
  await correct(owner, { withdrawn: true }).expect(201);
  // 30 plays at 0.50.
  expect(await compared()).toEqual([['15.00', '20.00', '5.00']]);
  expect((await prices()).map(({ unitValue, withdrawn }) => [unitValue.amount, withdrawn])).toEqual([['0.50', false], ['5.00', true]]);
});

test('a price that was taken back and changed after all is entered anew at its moment, and all that was said of it stays legible', async () => {
  const { plays, compared, correct, prices, machine } = await mistyped();
  await correct(owner, { withdrawn: true }).expect(201);
  expect(await compared()).toEqual([['15.00', '20.00', '5.00']]);
  const enter = (day: number, amount: string) => office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'price-change', happenedAt: at(day), readings: [], newUnitValues: [{ meterId: plays, unitValue: usd(amount) }] });
  await enter(10, '1.00').expect(201);
  // What was read at the change stayed: 20 plays at 0.50 and 10 at 1.00.
  expect(await compared()).toEqual([['20.00', '20.00', '0.00']]);
  expect((await prices()).map(({ unitValue, withdrawn, before }) => [unitValue.amount, withdrawn, before.map((each) => [each.unitValue.amount, each.withdrawn])])).toEqual([
    ['0.50', false, []],
    ['1.00', false, [['5.00', true], ['5.00', false]]],
  ]);
  expect(((await office.get(`/v1/meter-tasks?machineId=${machine.id}`).expect(200)).body as MeterTasks).readings).toEqual([]);
  expect(errorsOf(await enter(10, '2.00').expect(422))).toEqual(['#/newUnitValues/0/meterId taken']);
  // It is corrected as any other, by somebody else than who entered it anew.
  expect((await correct(office, { unitValues: [{ meterId: plays, unitValue: usd('2.00') }] }).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
  await correct(owner, { at: at(11) }).expect(201);
  // What was entered at this moment first holds on the 11th; a change at this moment after all is another one, and both stand.
  await enter(10, '2.00').expect(201);
  expect(errorsOf(await enter(10, '3.00').expect(422))).toEqual(['#/newUnitValues/0/meterId taken']);
  expect((await prices()).map(({ at: from, unitValue, enteredAnew, before }) => [from.slice(8, 10), unitValue.amount, enteredAnew, before.map((each) => each.enteredAnew)])).toEqual([
    ['01', '0.50', false, []],
    ['11', '1.00', false, [true, false, false]],
    ['10', '2.00', false, []],
  ]);
  // Neither is put where the other one stands; each is corrected by itself, and the second one is taken back and entered anew like the first.
  expect(errorsOf(await owner.post(`/v1/machines/${machine.id}/meter-prices/corrections`, { changedAt: at(11), at: at(10), reason: 'Mistyped' }).expect(422))).toEqual(['#/at taken']);
  await correct(owner, { withdrawn: true }).expect(201);
  await enter(10, '4.00').expect(201);
  expect((await prices()).map(({ unitValue, before, enteredAnew }) => [unitValue.amount, enteredAnew, before.length])).toEqual([['0.50', false, 0], ['1.00', false, 3], ['4.00', true, 2]]);
});

test('what a second person said of the reading at a change goes along to its other moment, and is asked anew where it would be of other readings', async () => {
  const { machine } = await makeRunningSite(office);
  // At 300 an hour five digits show as much as in two weeks: 40000 -> 00120 may be a rollover, or a reset.
  const { meterIds: [plays = ''] } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ label: 'Plays', tender: 'plays', unitValue: usd('0.50'), value: '40000', mostPerHour: 300 })] });
  const changed = { occasion: 'price-change', happenedAt: at(16), readings: [{ meterId: plays, value: '00120', readAgain: true }], newUnitValues: [{ meterId: plays, unitValue: usd('1.00') }] };
  await office.post(`/v1/machines/${machine.id}/meter-readings`, changed).expect(201);
  type Read = { id: string; happenedAt: string; occasion: string; value: string | null; replacedById: string | null; passedEnd: boolean; interval: { kind: string } | null };
  const standing = async () => ((await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: Read[] }).items.filter(({ occasion, value, replacedById }) => occasion === 'price-change' && value !== null && replacedById === null);
  const said = async () => (await standing()).map(({ happenedAt, value, passedEnd, interval }) => [happenedAt, value, passedEnd, interval?.kind]);
  const correctRead = async (more: object) => owner.post(`/v1/meter-readings/${(await standing())[0]?.id ?? ''}/corrections`, { value: '00120', reason: 'Looked at it with the collector.', ...more });
  await correctRead({ passedEnd: true });
  expect(await said()).toEqual([['2026-05-16T17:00:00.000Z', '00120', true, 'rollover']]);
  const move = (client: TestClient, from: number, to: number) => client.post(`/v1/machines/${machine.id}/meter-prices/corrections`, { changedAt: at(from), at: at(to), reason: 'It was another day' });
  await move(owner, 16, 17).expect(201);
  expect(await said()).toEqual([['2026-05-17T17:00:00.000Z', '00120', true, 'rollover']]);
  await move(office, 17, 16).expect(201);
  expect(await said()).toEqual([['2026-05-16T17:00:00.000Z', '00120', true, 'rollover']]);
  // It showed the same on the 18th: after that the word would be of two other readings.
  await office.post(`/v1/machines/${machine.id}/meter-readings`, { occasion: 'in-service', happenedAt: at(18), readings: [{ meterId: plays, value: '00120' }] }).expect(201);
  expect(errorsOf(await move(owner, 16, 19).expect(422))).toEqual(['#/at passed-end-said']);
  expect(errorsOf(await move(owner, 16, 18).expect(422))).toEqual(['#/at passed-end-said']);
  expect(await said()).toEqual([['2026-05-16T17:00:00.000Z', '00120', true, 'rollover']]);
});

test('a reading at a change that nobody looked at again is not taken for one that somebody did, wherever its change is put', async () => {
  const { machine } = await makeRunningSite(office);
  const { meterIds: [plays = ''] } = await fitBoard(office, machine.id, { fittedAt: at(1), meters: [meterFields({ label: 'Plays', tender: 'plays', unitValue: usd('0.50'), value: '00000', mostPerHour: 10 })] });
  const changed = { occasion: 'price-change', happenedAt: at(16), readings: [{ meterId: plays, value: '40000', readAgain: true }], newUnitValues: [{ meterId: plays, unitValue: usd('1.00') }] };
  await office.post(`/v1/machines/${machine.id}/meter-readings`, changed).expect(201);
  type Read = { happenedAt: string; occasion: string; value: string | null; replacedById: string | null; interval: { kind: string } | null };
  const said = async () =>
    ((await office.get(`/v1/machines/${machine.id}/meter-readings`).expect(200)).body as { items: Read[] }).items.flatMap(({ happenedAt, occasion, value, replacedById, interval }) => (occasion === 'price-change' && value !== null && replacedById === null ? [[happenedAt, value, interval?.kind]] : []));
  const entered = [['2026-05-16T17:00:00.000Z', '40000', 'above-ceiling']];
  expect(await said()).toEqual(entered);
  const move = (client: TestClient, from: number, to: number) => client.post(`/v1/machines/${machine.id}/meter-prices/corrections`, { changedAt: at(from), at: at(to), reason: 'It was another day' });
  await move(owner, 16, 17).expect(201);
  await move(office, 17, 16).expect(201);
  expect(await said()).toEqual(entered);
});

test('a settlement by the meters that has its number keeps its figures, and the next one settles the difference', async () => {
  const running = await mistyped('60.00');
  const { site, plays, correct } = running;
  await goByMeters(office, running);
  await issueMonth(api, (await closeMonth(api, MAY)).id);
  const may = await settlementOf(api, { siteId: site.id, startsOn: MAY });
  expect([may.state, may.totals.takings]).toEqual(['issued', usd('60.00')]);
  await correct(owner, { unitValues: [{ meterId: plays, unitValue: usd('1.00') }] }).expect(201);
  const { items } = (await office.get('/v1/late-changes').expect(200)).body as { items: LateChange[] };
  expect(items.map(({ startsOn, cause }) => [startsOn, cause])).toEqual([[MAY, 'correction']]);
  await closeMonth(api, JUNE);
  const june = await settlementOf(api, { siteId: site.id, startsOn: JUNE });
  // 40 percent of 40.00 that were never taken.
  expect([(await settlementOf(api, { siteId: site.id, startsOn: MAY })).totals.takings, june.totals.earlier]).toEqual([usd('60.00'), usd('-16.00')]);
});
