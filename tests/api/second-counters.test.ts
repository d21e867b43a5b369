import type { CounterBoard } from '#contracts/meter';
import type { CollectionVariances, VarianceFlagDetail, VarianceMonth } from '#contracts/variance';
import type { VarianceReport } from '#contracts/variance-report';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeAcceptedCollection, makeCollection, usd } from '#tests/support/collecting';
import { boardFields, fitBoard, meterFields } from '#tests/support/metering';
import { errorsOf, makePerson, makeRunningSite } from '#tests/support/set-up';

let api: TestApi;
let owner: TestClient;
let office: TestClient;
let collector: TestClient;
let reviewer: TestClient;

beforeAll(async () => {
  api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
  [owner, office, collector, reviewer] = (['owner', 'bookkeeper', 'collector', 'reviewer'] as const).map((role) => api.operator.as(role)) as [TestClient, TestClient, TestClient, TestClient];
});
afterAll(() => api?.close());

const at = (day: number) => `2026-05-${String(day).padStart(2, '0')}T12:00:00-05:00`;
const electronic = meterFields({ label: 'A electronic', value: '100' });
const mechanical = { ...meterFields({ label: 'B mechanical', digits: 6, value: '70000' }), secondOfLabel: 'A electronic' };

/** A bar with one machine whose board counts quarters twice: electronically and by a mechanical counter. */
async function bar(meters: readonly object[] = [electronic, mechanical]) {
  const made = await makeRunningSite(office);
  const { meterIds } = await fitBoard(office, made.machine.id, { fittedAt: at(1), meters });
  const [first = '', second = ''] = meterIds;
  const counted = async (day: number, coin: string, shown: readonly [first: string, second?: string], field: string | null = null) => {
    const readings = [{ meterId: first, value: shown[0] }, ...(shown[1] === undefined ? [] : [{ meterId: second, value: shown[1] }])];
    const visit = await makeCollection(collector, made.site, field === null ? [count(made.machine, coin, '0.00', { readings })] : [], { happenedAt: at(day) });
    if (field !== null) {
      await collector.post(`/v1/machines/${made.machine.id}/meter-readings`, { occasion: 'collection', collectionId: visit.id, readings }).expect(201);
      await collector.post(`/v1/collections/${visit.id}/field-counts`, { countedBy: (await makePerson(owner)).id, counts: [count(made.machine, field, '0.00')] }).expect(200);
      await collector.post(`/v1/collections/${visit.id}/counts`, { counts: [count(made.machine, coin, '0.00')] }).expect(200);
    }
    await office.post(`/v1/collections/${visit.id}/accept`).expect(200);
    return visit;
  };
  return { ...made, first, second, counted };
}
const comparedAt = async (id: string) => ((await reviewer.get(`/v1/collections/${id}/variances`).expect(200)).body as CollectionVariances).items[0];

test('two counters of the same cash stand beside each other: the box should hold what the first says', async () => {
  const place = await bar();
  const visit = await place.counted(5, '100.00', ['500', '70396']);
  expect(await comparedAt(visit.id)).toMatchObject({
    tender: 'coin', expected: usd('100.00'), counted: usd('100.00'), fieldCount: null,
    secondCounter: { expected: usd('99.00'), apart: usd('1.00'), tooFarApart: false, result: 'all-agree' },
  });
  const { items } = (await office.get(`/v1/machines/${place.machine.id}/counter-boards`).expect(200)).body as { items: CounterBoard[] };
  expect(items[0]?.meters.map(({ id, secondOf }) => [id, secondOf])).toEqual([[place.first, null], [place.second, place.first]]);
});

test('a second counter that was not read keeps nothing from being known, and is held over the same time or not at all', async () => {
  const place = await bar();
  expect(await comparedAt((await place.counted(5, '100.00', ['500'])).id)).toMatchObject({ expected: usd('100.00'), unknown: [], secondCounter: null });
  expect(await comparedAt((await place.counted(9, '25.00', ['600', '70500'])).id)).toMatchObject({ expected: usd('25.00'), secondCounter: null });
  expect(await comparedAt((await place.counted(12, '25.00', ['700', '70600'])).id)).toMatchObject({ expected: usd('25.00'), secondCounter: { apart: usd('0.00') } });
});

test.each([
  ['a meter that is not there', [electronic, { ...mechanical, secondOfLabel: 'C' }], '#/meters/1/secondOfLabel unknown'],
  ['itself', [{ ...electronic, secondOfLabel: electronic.label }], '#/meters/0/secondOfLabel not-first'],
  ['another second counter', [electronic, mechanical, { ...mechanical, label: 'C', secondOfLabel: mechanical.label }], '#/meters/2/secondOfLabel not-first'],
  ['one that has a second counter', [electronic, mechanical, { ...mechanical, label: 'C' }], '#/meters/1/secondOfLabel taken'],
  ['one of another kind', [electronic, { ...mechanical, tender: 'note' }], '#/meters/1/secondOfLabel other-tender'],
  ['one of what the machine paid back', [{ ...electronic, tender: 'refunds' }, { ...mechanical, tender: 'refunds' }], '#/meters/1/secondOfLabel not-for-tender'],
])('a second counter beside %s is refused', async (_what, meters, first) => {
  const { machine } = await makeRunningSite(office);
  const refused = await office.post(`/v1/machines/${machine.id}/counter-boards`, { ...boardFields(meters), fittedAt: at(1) }).expect(422);
  expect(errorsOf(refused)[0]).toBe(first);
});

test('two meters of one tender are added up only where it is said that each counts cash of its own', async () => {
  const { machine, site } = await makeRunningSite(office);
  const apart = { ...mechanical, secondOfLabel: undefined };
  const fit = (second: object) => office.post(`/v1/machines/${machine.id}/counter-boards`, { ...boardFields([electronic, second as typeof electronic]), fittedAt: at(1) });
  expect(errorsOf(await fit(apart).expect(422))).toEqual(['#/meters/1/secondOfLabel same-cash-unsaid']);
  const { items } = (await fit({ ...apart, secondOfLabel: null }).expect(201)).body as { items: CounterBoard[] };
  expect(items[0]?.meters.map(({ secondOf }) => secondOf)).toEqual([null, null]);
  const [one, other] = items[0]?.meters.map(({ id }) => id) ?? [];
  const readings = [{ meterId: one, value: '500' }, { meterId: other, value: '70300' }];
  const visit = await makeAcceptedCollection(office, site, [count(machine, '200.00', '0.00', { readings })], { happenedAt: at(5) });
  // 400 units by the one and 300 by the other, each worth 0.25.
  const { items: compared } = (await reviewer.get(`/v1/collections/${visit.id}/variances`).expect(200)).body as { items: object[] };
  expect(compared).toMatchObject([{ expected: usd('175.00'), secondCounter: null }]);
});

test('further apart than the owner said, the box is flagged; before that day and without such a rule it is only shown', async () => {
  const place = await bar();
  const rules = { name: 'Two counters', currency: 'USD', effectiveOn: '2026-05-08', amount: usd('500.00'), joinedBy: 'or', percentOf: 'metered', outWhen: 'more-than', countersApart: usd('2.00') };
  expect(errorsOf(await owner.post('/v1/tolerance-rule-sets', { ...rules, countersApart: { amount: '2.00', currency: 'EUR' } }).expect(422))).toEqual(['#/countersApart/currency other-currency']);
  expect((await owner.post('/v1/tolerance-rule-sets', rules).expect(201)).body).toMatchObject({ countersApart: usd('2.00') });
  await place.counted(5, '100.00', ['500', '70300']);
  await place.counted(12, '100.00', ['900', '70692']);
  await place.counted(19, '100.00', ['1300', '71083']);
  const month = (await reviewer.get(`/v1/variances?month=2026-05&siteId=${place.site.id}`).expect(200)).body as VarianceMonth;
  expect(month.flags.map(({ localDate, reasons }) => [localDate, reasons])).toEqual([['2026-05-19', ['counters-apart']]]);
  const detail = (await reviewer.get(`/v1/variance-flags/${month.flags[0]?.id ?? ''}`).expect(200)).body as VarianceFlagDetail;
  expect(detail.compared.items).toMatchObject([{ machineId: place.machine.id, secondCounter: { expected: usd('97.75'), apart: usd('2.25'), tooFarApart: true, result: 'all-agree' } }]);
  const report = (await office.get(`/v1/variances/report?by=machine&from=2026-05-01&to=2026-05-31&siteId=${place.site.id}`).expect(200)).body as VarianceReport;
  expect(report.rows).toMatchObject([{ counts: 3, outOfTolerance: 0, countersApart: 1, openFlags: 1 }]);
  // A reading of the second counter that is corrected takes the difference away, and the flag says that its figures changed.
  const { items } = (await office.get(`/v1/machines/${place.machine.id}/meter-readings`).expect(200)).body as { items: { id: string; value: string }[] };
  const wrong = items.find(({ value }) => value === '071083');
  await office.post(`/v1/meter-readings/${wrong?.id ?? ''}/corrections`, { value: '71092', reason: 'Read from a photograph.' }).expect(201);
  expect(((await reviewer.get(`/v1/variance-flags/${detail.flag.id}`).expect(200)).body as VarianceFlagDetail)).toMatchObject({ history: [{ kind: 'raised' }, { kind: 'changed' }], compared: { items: [{ secondCounter: { apart: usd('0.00'), tooFarApart: false } }] } });
});

test('field count, room count and meters are held beside each other, and it is said which one stands alone', async () => {
  const place = await bar([electronic]);
  const rules = { name: 'Usual', currency: 'USD', effectiveOn: '2026-05-20', amount: usd('25.00'), percent: '3', joinedBy: 'and', percentOf: 'metered', outWhen: 'more-than' };
  await owner.post('/v1/tolerance-rule-sets', rules).expect(201);
  const results = [];
  for (const [day, room, shown, field] of [[21, '100.00', '500', '100.00'], [22, '60.00', '900', '99.00'], [23, '60.00', '1300', '59.00'], [24, '100.00', '1700', '60.00']] as const) {
    const item = await comparedAt((await place.counted(day, room, [shown], field)).id);
    results.push([item?.expected?.amount, item?.fieldCount?.counted.amount, item?.counted.amount, item?.fieldCount?.result]);
  }
  expect(results).toEqual([
    ['100.00', '100.00', '100.00', 'all-agree'],
    ['100.00', '99.00', '60.00', 'room-count-differs'],
    ['100.00', '59.00', '60.00', 'meters-differ'],
    ['100.00', '60.00', '100.00', 'field-count-differs'],
  ]);
});
