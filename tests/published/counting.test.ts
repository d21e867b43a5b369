import type { Collection } from '#contracts/collection';
import { expectedCashOf } from '#domain/meters/expected-cash';
import { readDifference, unitsOf } from '#domain/meters/difference';
import { capacityOf, electronicCapacity } from '#domain/meters/meter';
import { startTestApi, type TestApi, type TestClient } from '#tests/support/api';
import { count, makeCollection, usd } from '#tests/support/collecting';
import { fitBoard } from '#tests/support/metering';
import { makeRunningSite } from '#tests/support/set-up';

/**
 * Federal minimum internal control standards for gaming machines in the United States (25 CFR parts 543 and 547). They are
 * benchmarks here, and no law for these machines; each test quotes the rule that it holds the program to.
 */
describe('25 CFR 543.17(g), the count', () => {
  let api: TestApi;
  let [office, collector]: TestClient[] = [];
  let place: Awaited<ReturnType<typeof makeRunningSite>> & { meterId: string };
  beforeAll(async () => {
    api = await startTestApi({ now: '2026-06-02T15:00:00Z' });
    [office, collector] = [api.operator.as('bookkeeper'), api.operator.as('collector')];
    const running = await makeRunningSite(office);
    place = { ...running, ...(await fitBoard(office, running.machine.id)) };
  });
  afterAll(() => api?.close());

  const clients = (): [TestClient, TestClient] => {
    if (office === undefined || collector === undefined) throw new Error('the api has not started');
    return [office, collector];
  };

  test('(5): the count team has no access to metered amounts until the count is accepted', async () => {
    const [bookkeeper, counter] = clients();
    const visit = await makeCollection(bookkeeper, place.site, [], { happenedAt: '2026-05-05T12:00:00-05:00' });
    // 120 -> 1,320 quarters imply 300.00; the box holds 290.00.
    await bookkeeper.post(`/v1/machines/${place.machine.id}/meter-readings`, { occasion: 'collection', collectionId: visit.id, readings: [{ meterId: place.meterId, value: '01320' }] }).expect(201);
    const asked = [`/v1/machines/${place.machine.id}/meter-readings`, `/v1/collections/${visit.id}/variances`, '/v1/variances?month=2026-05', `/v1/machines/${place.machine.id}/variances`, '/v1/collections-due', '/v1/earnings?from=2026-05-01&before=2026-06-01'];
    const told = async (client: TestClient): Promise<string> => {
      const answers = [];
      for (const path of asked) answers.push(await client.get(path));
      return answers.map(({ text }) => text).join(' ');
    };
    expect(await told(counter)).not.toMatch(/01320|300\.00/);
    expect(await told(api.operator.as('reviewer'))).toMatch(/01320/);
    const counted = await counter.post(`/v1/collections/${visit.id}/counts`, { counts: [count(place.machine, '290.00', '0.00')] }).expect(200);
    expect(counted.text).not.toMatch(/01320|300\.00/);
    expect(counted.body).toMatchObject({ blind: true });
    expect(await told(counter)).not.toMatch(/01320|300\.00/);
    // Nor does it type one.
    await counter.post(`/v1/collections/${visit.id}/metered-amounts`, { amounts: [{ machineTag: place.machine['tag'], amount: usd('290.00') }] }).expect(403);
    await bookkeeper.post(`/v1/collections/${visit.id}/accept`).expect(200);
    expect((await bookkeeper.get(`/v1/collections/${visit.id}/variances`).expect(200)).body).toMatchObject({ items: [{ expected: usd('300.00'), counted: usd('290.00'), variance: usd('-10.00') }] });
  });

  test('(12): a correction leaves the original figure legible and is made by two people', async () => {
    const [bookkeeper] = clients();
    const made = await makeCollection(bookkeeper, place.site, [count(place.machine, '80.00', '0.00')], { happenedAt: '2026-05-12T12:00:00-05:00' });
    await bookkeeper.post(`/v1/collections/${made.id}/accept`).expect(200);
    const correction = { countId: made.counts[0]?.id, coin: usd('88.00'), note: usd('0.00'), reason: 'A roll was under the tray.' };
    expect((await bookkeeper.post(`/v1/collections/${made.id}/corrections`, correction).expect(403)).body).toMatchObject({ code: 'second-person-needed' });
    const second = api.operator.as('owner');
    const { counts, counted } = (await second.post(`/v1/collections/${made.id}/corrections`, correction).expect(200)).body as Collection;
    expect(counted).toEqual(usd('88.00'));
    const [original, corrected] = [counts.find(({ replacesId }) => replacesId === null), counts.find(({ replacesId }) => replacesId !== null)];
    expect(original).toMatchObject({ id: correction.countId, coin: usd('80.00'), replacedById: corrected?.id, recordedBy: `user:${bookkeeper.id}` });
    expect(corrected).toMatchObject({ coin: usd('88.00'), reason: correction.reason, recordedBy: `user:${second.id}`, withoutSecondPerson: false });
  });
});

// 25 CFR 547.9(c): a meter that passes its last value must not corrupt data. The vectors are common practice, no source.
describe('25 CFR 547.9(c), a rollover', () => {
  const hour = 3_600_000;
  it.each([
    [99_986n, 11n, capacityOf(5), 25n],
    [99_850n, 125n, capacityOf(5), 275n],
    [4_294_967_291n, 7n, electronicCapacity, 12n],
  ])('counts %s -> %s on its own, and as part of a longer chain, as %s + %s', (before, after, capacity, units) => {
    expect(unitsOf(readDifference({ before, after, capacity, ceiling: 1_000n, confirmed: false, passedEnd: false }))).toBe(units);
    const reading = (id: string, atMs: number, value: bigint) => ({ id, atMs, phase: 'only' as const, value, confirmed: false, passedEnd: false, collectionId: id === 'start' ? null : id, placementId: null });
    const readings = [reading('start', 0, before - 40n), reading('one', hour, before), reading('two', 2 * hour, after), reading('three', 3 * hour, after + 15n)];
    const meter = { id: 'coin', tender: 'coin' as const, secondOf: null, capacity, openedMs: [], unitValues: [{ fromMs: 0, minor: 25n }], mostPerHour: 1_000n, readings };
    const expected = expectedCashOf([{ id: 'board', fittedMs: 0, removedMs: null, meters: [meter] }], []);
    // What came before and after it stands as it was, and the whole is the sum of the segments.
    expect(expected.map(({ expectedMinor }) => expectedMinor)).toEqual([40n * 25n, units * 25n, 15n * 25n]);
    const whole = expectedCashOf([{ id: 'board', fittedMs: 0, removedMs: null, meters: [{ ...meter, readings: [reading('start', 0, before - 40n), reading('three', 3 * hour, after + 15n)] }] }], []);
    expect(whole.map(({ expectedMinor }) => expectedMinor)).toEqual([(40n + units + 15n) * 25n]);
  });
});
