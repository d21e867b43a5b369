import type { Close } from '#contracts/close';
import { apiForAllTests, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { closeMonth, failuresOf, issueMonth, readClose, reviewMonth, settleMissing, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, makeCollection } from '#tests/support/collecting';
import { goByMeters, makeRunningSite, plainTerms, type Made } from '#tests/support/set-up';

/** Days of March, which is over from here on. */
const AFTER_MARCH = '2026-04-02T15:00:00Z';
const MARCH = '2026-03-01';

let api: TestApi;
let operator: TestOperator;
let office: TestClient;
// A period can be closed once, so each test has books of its own.
const freshApi = apiForAllTests({ now: AFTER_MARCH });
beforeEach(() => startAt(AFTER_MARCH));

/** Sessions end long before a month does, so a test of later months begins later. */
async function startAt(now: string): Promise<void> {
  api = await freshApi({ now });
  operator = api.operator;
  office = operator.as('bookkeeper');
}

async function siteWithCash(coin = '120.50'): Promise<Awaited<ReturnType<typeof makeRunningSite>>> {
  const running = await makeRunningSite(office);
  await makeAcceptedCollection(office, running.site, [count(running.machine, coin)]);
  return running;
}

const codeOf = (site: Made): string => site['code'] as string;

describe('a close', () => {
  it('goes from counts to signed statements, with its progress visible at every step', async () => {
    const { site } = await siteWithCash();
    await siteWithCash('80.00');
    const started = (await office.post('/v1/closes', { cycle: 'month', startsOn: MARCH }).expect(202)).body as Close;
    expect(started).toMatchObject({
      cycle: 'month',
      startsOn: MARCH,
      endsBefore: '2026-04-01',
      requestedBy: `user:${office.id}`,
      progress: { agreements: 2, settled: 0, running: true },
    });
    await operator.work();
    expect((await readClose(api, started.id)).progress).toEqual({ agreements: 2, settled: 2, reviewed: 0, numbered: 0, issued: 0, failed: 0, running: false, keyMissed: null, stampMissed: null });

    const asked = (await office.post(`/v1/closes/${started.id}/review`, {}).expect(202)).body as Close;
    expect(asked.progress.running).toBe(true);
    await operator.work();
    expect((await readClose(api, started.id)).progress).toMatchObject({ reviewed: 2, numbered: 0, running: false });

    await office.post(`/v1/closes/${started.id}/issue`).expect(202);
    await operator.work();
    expect((await readClose(api, started.id)).progress).toEqual({ agreements: 2, settled: 2, reviewed: 2, numbered: 2, issued: 2, failed: 0, running: false, keyMissed: null, stampMissed: null });

    const settlement = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    expect(settlement).toMatchObject({ state: 'issued', number: `${operator.code.toUpperCase()}-2026-000001`, statement: { available: true } });
    const person = `user:${office.id}`;
    expect(settlement.history.map(({ kind, happenedBy, orderedBy }) => [kind, happenedBy, orderedBy])).toEqual([
      ['drafted', 'system', person],
      ['reviewed', person, null],
      ['numbered', 'system', person],
      ['issued', 'system', person],
    ]);
  });

  it('happens once, when two people start it at the same moment', async () => {
    await siteWithCash();
    const people = [office, operator.as('owner'), await operator.newMember('bookkeeper')];
    const answers = await Promise.all(people.map((person) => person.post('/v1/closes', { cycle: 'month', startsOn: MARCH })));
    expect(answers.map((answer) => answer.status).sort()).toEqual([202, 409, 409]);
    const { id } = answers.find((answer) => answer.status === 202)?.body as Close;
    for (const answer of answers.filter(({ status }) => status === 409)) {
      expect(answer.body).toMatchObject({ code: 'period-already-closed', detail: expect.stringContaining(id) });
    }
    await operator.work();
    expect((await readClose(api, id)).progress.settled).toBe(1);
    const { rows } = await operator.inBooks((tx) => tx.sql('SELECT FROM settlement'));
    expect(rows).toHaveLength(1);
  });

  it('answers a repeated request as the first time, and does nothing again', async () => {
    await siteWithCash();
    const period = { cycle: 'month', startsOn: MARCH };
    const start = (body: object) => office.post('/v1/closes', body).set('Idempotency-Key', 'start-of-march');
    const first = await start(period).expect(202);
    const { id } = first.body as Close;
    await operator.work();
    const again = await start(period).expect(202);
    expect(again.headers['idempotency-replayed']).toBe('true');
    expect(again.body).toEqual(first.body);
    expect((await start({ ...period, startsOn: '2026-02-01' }).expect(422)).body.code).toBe('idempotency-key-reused');

    await reviewMonth(api, id);
    for (const replayed of [undefined, 'true']) {
      const issue = await office.post(`/v1/closes/${id}/issue`).set('Idempotency-Key', 'issue-of-march').expect(202);
      expect(issue.headers['idempotency-replayed']).toBe(replayed);
      await operator.work();
    }
    const { rows } = await operator.inBooks((tx) => tx.sql('SELECT task, count(*)::int AS batches FROM work_batch GROUP BY task ORDER BY task'));
    expect(rows).toEqual(['number', 'render', 'review', 'settle'].map((task) => ({ task, batches: 1 })));
  });

  it('is refused while the period goes on at one of the sites', async () => {
    await siteWithCash();
    // 23:30 on 31 March at the site.
    api.clock.set(new Date('2026-04-01T04:30:00Z'));
    const answer = await office.post('/v1/closes', { cycle: 'month', startsOn: MARCH }).expect(409);
    expect(answer.body).toMatchObject({ code: 'period-not-over', detail: expect.stringContaining('1 April 2026') });
    api.clock.set(new Date('2026-04-01T05:00:00Z'));
    await office.post('/v1/closes', { cycle: 'month', startsOn: MARCH }).expect(202);
  });

  it('is refused where no agreement has such a period', async () => {
    await siteWithCash();
    for (const period of [{ cycle: 'week', startsOn: '2026-03-02' }, { cycle: 'month', startsOn: '2026-03-02' }, { cycle: 'month', startsOn: '2024-12-01' }]) {
      expect((await office.post('/v1/closes', period).expect(409)).body.code).toBe('nothing-to-close');
    }
    expect((await office.post('/v1/closes', { cycle: 'visit', startsOn: MARCH }).expect(409)).body.code).toBe('nothing-to-close');
    expect((await office.post('/v1/closes', { cycle: 'quarter', startsOn: MARCH }).expect(400)).body.code).toBe('invalid-request');
  });

  it('closes the cycles of different agreements apart', async () => {
    const cycle = { kind: 'four-weeks', anchor: '2026-03-02' };
    const party = (await office.post('/v1/parties', { code: 'WEEKLY', name: 'Kettle Weekly', locale: 'en-US' }).expect(201)).body as Made;
    const fourWeekly = await makeRunningSite(office, { agreement: { partyId: party.id, terms: plainTerms({ partyId: party.id, cycle }) } });
    await makeAcceptedCollection(office, fourWeekly.site, [count(fourWeekly.machine)]);
    await siteWithCash();
    const month = await closeMonth(api, MARCH);
    expect(month.progress).toMatchObject({ agreements: 1, settled: 1 });
    const four = (await office.post('/v1/closes', { cycle: 'four-weeks', startsOn: '2026-03-02' }).expect(202)).body as Close;
    await operator.work();
    expect(await readClose(api, four.id)).toMatchObject({ endsBefore: '2026-03-30', progress: { agreements: 1, settled: 1 } });
    const { items } = (await office.get('/v1/closes').expect(200)).body as { items: Close[] };
    expect(items.map((each) => [each.cycle, each.startsOn])).toEqual([['four-weeks', '2026-03-02'], ['month', MARCH]]);
  });

  it('lets each site that cannot be settled fail alone, and takes it up when asked', async () => {
    const good = await siteWithCash();
    const waiting = await makeRunningSite(office);
    const counted = await makeCollection(office, waiting.site, [count(waiting.machine)]);
    const metered = await makeRunningSite(office);
    await makeAcceptedCollection(office, metered.site, [count(metered.machine)]);
    await goByMeters(office, metered);

    const close = await closeMonth(api, MARCH);
    expect(close.progress).toMatchObject({ agreements: 3, settled: 1, failed: 2, running: false });
    expect(failuresOf(close)).toEqual([`${codeOf(waiting.site)} collections-not-accepted`, `${codeOf(metered.site)} cannot-be-computed`].sort());
    expect(close.failures.find((failure) => failure.code === 'cannot-be-computed')?.message).toContain('metered-amount-missing');

    await office.post(`/v1/collections/${counted.id}/accept`).expect(200);
    const again = await settleMissing(api, close.id);
    expect(again.progress).toMatchObject({ settled: 2, failed: 1 });
    expect(failuresOf(again)).toEqual([`${codeOf(metered.site)} cannot-be-computed`]);
    expect((await settlementOf(api, { siteId: good.site.id, startsOn: MARCH })).revision).toBe(1);
  });

  it('makes no settlement where nothing was collected, and settles what comes in before the next one is numbered', async () => {
    const quiet = await makeRunningSite(office);
    const close = await closeMonth(api, MARCH);
    expect(close.progress).toMatchObject({ agreements: 1, settled: 0, failed: 0 });
    await makeAcceptedCollection(office, quiet.site, [count(quiet.machine)]);
    expect((await settleMissing(api, close.id)).progress).toMatchObject({ agreements: 1, settled: 1 });
  });

  it('waits with a period until the one before has its number, and then carries on from it', async () => {
    await startAt('2026-05-02T15:00:00Z');
    const { site, machine } = await siteWithCash();
    const march = await closeMonth(api, MARCH);
    await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: '2026-04-20T12:00:00-05:00' });
    const april = await closeMonth(api, '2026-04-01');
    expect(failuresOf(april)).toEqual([`${codeOf(site)} earlier-settlement-open`]);
    await issueMonth(api, march.id);
    expect((await settleMissing(api, april.id)).progress).toMatchObject({ settled: 1, failed: 0 });
  });

  it('says when takings of an earlier period were never settled', async () => {
    const { site, machine } = await makeRunningSite(office);
    await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: '2026-02-20T12:00:00-06:00' });
    await makeAcceptedCollection(office, site, [count(machine)]);
    expect(failuresOf(await closeMonth(api, MARCH))).toEqual([`${codeOf(site)} earlier-takings-unsettled`]);
  });

  it('leaves a stale draft where it is, when all are reviewed', async () => {
    const { site, machine } = await siteWithCash();
    await siteWithCash();
    const close = await closeMonth(api, MARCH);
    await makeAcceptedCollection(office, site, [count(machine)]);
    const reviewed = await reviewMonth(api, close.id);
    expect(reviewed.progress).toMatchObject({ settled: 2, reviewed: 1, failed: 1 });
    expect(reviewed.failures).toMatchObject([{ step: 'review', siteCode: codeOf(site), code: 'draft-is-stale', message: expect.stringContaining('counts') }]);
  });

  it('reviews some settlements only, where they are named', async () => {
    const { site } = await siteWithCash();
    await siteWithCash();
    const close = await closeMonth(api, MARCH);
    const { id } = await settlementOf(api, { siteId: site.id, startsOn: MARCH });
    await office.post(`/v1/closes/${close.id}/review`, { settlementIds: [id] }).expect(202);
    await operator.work();
    expect((await readClose(api, close.id)).progress).toMatchObject({ settled: 2, reviewed: 1 });
  });

  it('refuses to number what has become stale since the review, and numbers the others without a gap', async () => {
    const sites = [await siteWithCash(), await siteWithCash(), await siteWithCash()];
    const close = await closeMonth(api, MARCH);
    await reviewMonth(api, close.id);
    const [, stale] = sites;
    if (stale === undefined) throw new Error('three sites were made');
    await makeAcceptedCollection(office, stale.site, [count(stale.machine)]);
    await office.post(`/v1/closes/${close.id}/issue`).expect(202);
    await operator.work();
    const after = await readClose(api, close.id);
    expect(after.progress).toMatchObject({ reviewed: 3, issued: 2, failed: 1 });
    expect(after.failures).toMatchObject([{ step: 'number', code: 'draft-is-stale' }]);
    const { rows } = await operator.inBooks((tx) => tx.sql<{ number_serial: number }>('SELECT number_serial FROM settlement WHERE number_serial IS NOT NULL ORDER BY 1'));
    expect(rows.map((row) => row.number_serial)).toEqual([1, 2]);
    // Mended, it takes the next number.
    const { id } = await settlementOf(api, { siteId: stale.site.id, startsOn: MARCH });
    await office.post(`/v1/settlements/${id}/recompute`).expect(200);
    expect((await issueMonth(api, close.id)).progress).toMatchObject({ issued: 3, failed: 0 });
    expect((await settlementOf(api, { siteId: stale.site.id, startsOn: MARCH })).number).toMatch(/-2026-000003$/);
  });

  it('counts the numbers of each year from one, by the calendar of the operator', async () => {
    // New Year has come in London, not yet in Chicago.
    await startAt('2026-01-01T05:30:00Z');
    const { site, machine } = await makeRunningSite(office);
    await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: '2025-11-20T12:00:00-06:00' });
    const november = await closeMonth(api, '2025-11-01');
    await issueMonth(api, november.id);
    expect((await settlementOf(api, { siteId: site.id, startsOn: '2025-11-01' })).number).toMatch(/-2025-000001$/);
    await makeAcceptedCollection(office, site, [count(machine)], { happenedAt: '2025-12-20T12:00:00-06:00' });
    api.clock.set(new Date('2026-01-01T06:01:00Z'));
    const december = await closeMonth(api, '2025-12-01');
    await issueMonth(api, december.id);
    expect((await settlementOf(api, { siteId: site.id, startsOn: '2025-12-01' })).number).toMatch(/-2026-000001$/);
  });
});

describe('the month end', () => {
  it('says of every agreement how far it is', async () => {
    const done = await siteWithCash('100.00');
    const open = await makeRunningSite(office);
    await makeCollection(office, open.site, [count(open.machine)]);
    const quiet = await makeRunningSite(office);
    const ready = await siteWithCash();
    const read = async (): Promise<object> => (await office.get(`/v1/month-end?cycle=month&startsOn=${MARCH}`).expect(200)).body as object;
    const states = async (): Promise<object> => {
      const { items } = (await office.get(`/v1/month-end/agreements?cycle=month&startsOn=${MARCH}`).expect(200)).body as { items: { siteCode: string; state: string }[] };
      return Object.fromEntries(items.map((item) => [item.siteCode, item.state]));
    };
    const before = { agreements: 4, withoutCollections: 1, openCollections: 1, drafts: 0, held: 0, reviewed: 0, numbered: 0, issued: 0, failed: 0, lateChanges: 0, openRefundClaims: 0, unpaid: 0, partlyPaid: 0, disputed: 0, paid: 0, toReceive: 0 };
    expect(await read()).toEqual({ cycle: 'month', startsOn: MARCH, endsBefore: '2026-04-01', closeId: null, counts: before });
    expect(await states()).toEqual({ [codeOf(done.site)]: 'ready', [codeOf(open.site)]: 'open-collections', [codeOf(quiet.site)]: 'no-collections', [codeOf(ready.site)]: 'ready' });

    const close = await closeMonth(api, MARCH);
    expect(await read()).toMatchObject({ closeId: close.id, counts: { drafts: 2, withoutCollections: 1, openCollections: 1 } });
    const { id } = await settlementOf(api, { siteId: done.site.id, startsOn: MARCH });
    await office.post(`/v1/closes/${close.id}/review`, { settlementIds: [id] }).expect(202);
    await operator.work();
    await office.post(`/v1/closes/${close.id}/issue`).expect(202);
    await operator.work();
    expect(await read()).toMatchObject({ counts: { drafts: 1, issued: 1, unpaid: 1, paid: 0 } });
    const issued = (await office.get(`/v1/month-end/agreements?cycle=month&startsOn=${MARCH}&state=issued`).expect(200)).body as { items: object[] };
    expect(issued.items).toMatchObject([
      { siteCode: codeOf(done.site), settlementId: id, takings: { amount: '140.00' }, siteShare: { amount: '56.00' }, payable: { amount: '56.00' }, previousPayable: null, failure: null },
    ]);
  });

  it('pages through agreements by site code', async () => {
    for (let made = 0; made < 3; made += 1) await makeRunningSite(office);
    const seen: string[] = [];
    let cursor: string | null = null;
    do {
      const path: string = `/v1/month-end/agreements?cycle=month&startsOn=${MARCH}&limit=2${cursor === null ? '' : `&cursor=${cursor}`}`;
      const page = (await office.get(path).expect(200)).body as { items: { siteCode: string }[]; next: string | null };
      seen.push(...page.items.map((item) => item.siteCode));
      cursor = page.next;
    } while (cursor !== null);
    expect(seen).toHaveLength(3);
    expect(seen).toEqual([...seen].sort());
    expect((await office.get(`/v1/month-end/agreements?cycle=month&startsOn=${MARCH}&cursor=rubbish`).expect(400)).body.code).toBe('invalid-cursor');
  });

  it('lists the periods of the cycles in use, newest first', async () => {
    await siteWithCash();
    const close = await closeMonth(api, MARCH);
    const { items } = (await office.get('/v1/month-end/periods').expect(200)).body as { items: object[] };
    expect(items.slice(0, 3)).toEqual([
      { cycle: 'month', startsOn: '2026-04-01', endsBefore: '2026-05-01', closeId: null, state: 'open' },
      { cycle: 'month', startsOn: MARCH, endsBefore: '2026-04-01', closeId: close.id, state: 'closed' },
      { cycle: 'month', startsOn: '2026-02-01', endsBefore: MARCH, closeId: null, state: 'over' },
    ]);
  });

  it('knows nothing of a period that no agreement has', async () => {
    await makeRunningSite(office);
    await office.get('/v1/month-end?cycle=month&startsOn=2026-03-02').expect(404);
    await office.get('/v1/month-end/agreements?cycle=week&startsOn=2026-03-02').expect(404);
  });
});
