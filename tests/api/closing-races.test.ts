import type { Close } from '#contracts/close';
import { acceptCollections } from '#backoffice/collection/accept-collections';
import { apiForAllTests, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, failuresOf, readClose, reviewMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection } from '#tests/support/collecting';
import { untilWaiting } from '#tests/support/database';
import { makeRunningSite, type Made } from '#tests/support/set-up';

const MARCH = '2026-03-01';
let api: TestApi;
let operator: TestOperator;
let office: TestClient;
const freshApi = apiForAllTests({ now: '2026-04-02T15:00:00Z' });
beforeEach(async () => {
  api = await freshApi();
  operator = api.operator;
  office = operator.as('bookkeeper');
});

/** Keeps a transaction of the operator open until it is let go; what it locked stays locked meanwhile. */
async function heldOpen(work: Parameters<TestOperator['inBooks']>[0]): Promise<{ letGo: () => Promise<void> }> {
  let open: () => void = () => undefined;
  const gate = new Promise<void>((resolve) => (open = resolve));
  let ready: () => void = () => undefined;
  const isReady = new Promise<void>((resolve) => (ready = resolve));
  const done = operator.inBooks(async (tx) => {
    await work(tx);
    ready();
    await gate;
  });
  await Promise.race([isReady, done]);
  return {
    letGo: async () => {
      open();
      await done;
    },
  };
}

/** Accepts a collection and stops before COMMIT. */
function accepting(collection: Made): ReturnType<typeof heldOpen> {
  return heldOpen(async (tx) => {
    const accepted = await acceptCollections(tx, { collectionIds: [collection.id], now: api.clock.now(), newId: api.backoffice.newId });
    expect(accepted.ok).toBe(true);
  });
}

async function siteWithCash() {
  const running = await makeRunningSite(office);
  await makeAcceptedCollection(office, running.site, [count(running.machine, '100.00', '0.00')]);
  return running;
}

const lateChanges = async (): Promise<unknown[]> => ((await office.get('/v1/late-changes').expect(200)).body as { items: unknown[] }).items;
const start = async (): Promise<Close> => (await office.post('/v1/closes', { cycle: 'month', startsOn: MARCH }).expect(202)).body as Close;

describe('a count accepted while its period is being settled', () => {
  it('is in the settlement, if it was first', async () => {
    const { site, machine } = await siteWithCash();
    const collection = await makeCollection(office, site, [count(machine, '50.00', '0.00')]);
    const { id } = await start();
    const acceptance = await accepting(collection);
    const work = operator.work();
    await untilWaiting(api.db, 1);
    await acceptance.letGo();
    await work;
    expect((await readClose(api, id)).progress).toMatchObject({ settled: 1, failed: 0 });
    expect((await settlementOf(api, { siteId: site.id, startsOn: MARCH })).totals.takings.amount).toBe('150.00');
  });

  it('makes the draft stale, if it was second', async () => {
    const { site, machine, agreement } = await siteWithCash();
    const { id } = await start();
    // Saving needs the agreement's row, so the batch stands between reading and writing.
    const obstacle = await heldOpen((tx) => tx.sql('SELECT FROM agreement WHERE id = $1 FOR UPDATE', [agreement.id]));
    const work = operator.work();
    await untilWaiting(api.db, 1);
    const collection = await makeCollection(office, site, [count(machine, '50.00', '0.00')]);
    const acceptance = office.post(`/v1/collections/${collection.id}/accept`).then((answer) => answer);
    await untilWaiting(api.db, 2);
    await obstacle.letGo();
    await work;
    expect((await acceptance).status).toBe(200);
    expect((await settlementOf(api, { siteId: site.id, startsOn: MARCH })).totals.takings.amount).toBe('100.00');
    expect(failuresOf(await reviewMonth(api, id))).toEqual([`${site['code'] as string} draft-is-stale`]);
    expect(await lateChanges()).toEqual([]);
  });
});

describe('a count accepted while its period is being numbered', () => {
  it('keeps the settlement from its number, if it was first', async () => {
    const { site, machine } = await siteWithCash();
    const { id } = await closeMonth(api, MARCH);
    await reviewMonth(api, id);
    const collection = await makeCollection(office, site, [count(machine, '50.00', '0.00')]);
    await office.post(`/v1/closes/${id}/issue`).expect(202);
    const acceptance = await accepting(collection);
    const work = operator.work();
    await untilWaiting(api.db, 1);
    await acceptance.letGo();
    await work;
    expect(failuresOf(await readClose(api, id))).toEqual([`${site['code'] as string} draft-is-stale`]);
    expect((await settlementOf(api, { siteId: site.id, startsOn: MARCH })).state).toBe('reviewed');
    expect(await lateChanges()).toEqual([]);
  });

  it('is a late change, if it was second', async () => {
    const { site, machine } = await siteWithCash();
    const { id } = await closeMonth(api, MARCH);
    await reviewMonth(api, id);
    await office.post(`/v1/closes/${id}/issue`).expect(202);
    const obstacle = await heldOpen((tx) =>
      tx.sql(`INSERT INTO number_counter (tenant_id, series, year, next_serial) VALUES ($1, 'statement', 2026, 1)`, [operator.tenantId]),
    );
    const work = operator.work();
    await untilWaiting(api.db, 1);
    const collection = await makeCollection(office, site, [count(machine, '50.00', '0.00')]);
    const acceptance = office.post(`/v1/collections/${collection.id}/accept`).then((answer) => answer);
    await untilWaiting(api.db, 2);
    await obstacle.letGo();
    await work;
    expect((await acceptance).status).toBe(200);
    expect(await settlementOf(api, { siteId: site.id, startsOn: MARCH })).toMatchObject({ state: 'issued', totals: { takings: { amount: '100.00' } } });
    expect(await lateChanges()).toMatchObject([{ sourceId: collection.id, cause: 'collection' }]);
  });
});

it('numbers without a gap and grows one log, when several batches are numbered at once', async () => {
  const sites = [await siteWithCash(), await siteWithCash(), await siteWithCash(), await siteWithCash()];
  const { id } = await closeMonth(api, MARCH);
  await reviewMonth(api, id);
  // Two people press the button at the same moment: two batches with the same settlements.
  await Promise.all([office, operator.as('owner')].map((person) => person.post(`/v1/closes/${id}/issue`).expect(202)));
  await Promise.all([operator.work(), operator.work(), operator.work()]);
  expect((await readClose(api, id)).progress).toMatchObject({ numbered: sites.length, issued: sites.length, failed: 0, running: false });
  const { rows } = await operator.inBooks((tx) =>
    tx.sql<{ serials: number[]; leaves: bigint; statements: bigint; entries: bigint }>(
      `SELECT (SELECT array_agg(number_serial ORDER BY number_serial) FROM settlement) AS serials, (SELECT count(*) FROM evidence_leaf) AS leaves,
              (SELECT count(*) FROM statement) AS statements, (SELECT count(*) FROM journal_entry WHERE kind = 'settlement-issued') AS entries`,
    ),
  );
  expect(rows).toEqual([{ serials: [1, 2, 3, 4], leaves: 8n, statements: 4n, entries: 4n }]);
});
