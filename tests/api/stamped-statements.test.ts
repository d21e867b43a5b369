/** Statements whose signatures a time-stamp authority stamps: what they wait for, for how long, and what goes out. */
import { changeOperator } from '#backoffice/operator/change';
import type { StatementDeps } from '#backoffice/statement/issue';
import { issueClose, reviewClose } from '#backoffice/close/go-on';
import { readClose } from '#backoffice/close/read';
import { startClose } from '#backoffice/close/start';
import { localDate } from '#domain/calendar/local-date';
import { systemClock } from '#runtime/clock';
import { timestampRequest, type TimestampAuthority as Asked } from '#statement/sign/timestamp';
import { holdsWhole, verifyStatement } from '#statement/verify/verify-statement';
import { startTestApi, type TestApi } from '#tests/support/api';
import { asTenant } from '#tests/support/database';
import { writeMonth } from '#tests/support/month-fixture';
import { describeWithProgram } from '#tests/support/outside-program';
import { errorsOf } from '#tests/support/set-up';
import { asked, startTimestampAuthority, type TimestampAuthority } from '#tests/support/timestamp-authority';
import { doWaitingWork, workDeps } from '#tests/support/work';

const SITES = 3;
const HOUR_MS = 3600 * 1000;

let api: TestApi;
beforeAll(async () => {
  // An authority goes by the clock of the machine, and so must whoever compares with it.
  api = await startTestApi({ now: new Date().toISOString() });
});
afterAll(() => api?.close());

const owner = (tenantId: string) => ({ kind: 'user', id: '01890000-0000-7000-8000-000000000901', tenantId, role: 'owner', siteIds: [], personId: null }) as const;

/** As it is in the books; turning it on by the office is tried apart. */
const setStamped = (tenantId: string, statementsStamped: boolean): Promise<void> =>
  asTenant(api.db, tenantId, async (tx) => void (await tx.sql('UPDATE operator SET statements_stamped = $1', [statementsStamped])));

/** Turns stamps on as the office would, by an authority; the refused fields with what is said of them. */
async function turnedOn(tenantId: string, timestampAuthority: Asked): Promise<string[]> {
  const [operator] = await asTenant(api.db, tenantId, async (tx) => (await tx.sql<{ revision: number }>('SELECT revision FROM operator')).rows);
  const changed = await changeOperator({ ...api.backoffice, clock: systemClock, timestampAuthority }, owner(tenantId), { statementsStamped: true, expectedRevision: operator?.revision ?? 0 });
  if (changed.ok) return [`statementsStamped ${String(changed.value.statementsStamped)}`];
  return (changed.failure.errors ?? []).map((error) => `${error.code} ${error.message}`);
}

/** A month of an operator that wants stamps, numbered and waiting for its statements. */
async function numberedMonth(): Promise<{ tenantId: string; id: string }> {
  const { tenantId } = await writeMonth(api.db, { sites: SITES, machinesPerSite: 1, collectionsPerSite: 1 });
  await setStamped(tenantId, true);
  const started = await startClose(api.backoffice, owner(tenantId), { cycle: 'month', startsOn: localDate('2025-10-01') });
  if (!started.ok) throw new Error(started.failure.code);
  const { id } = started.value;
  await doWaitingWork(workDeps(api.backoffice), tenantId);
  await reviewClose(api.backoffice, owner(tenantId), { id });
  await doWaitingWork(workDeps(api.backoffice), tenantId);
  await issueClose(api.backoffice, owner(tenantId), id);
  return { tenantId, id };
}

const closeOf = async ({ tenantId, id }: { tenantId: string; id: string }) => {
  const close = await readClose(api.backoffice, owner(tenantId), id);
  if (!close.ok) throw new Error(close.failure.code);
  return close.value;
};
const filesOf = (tenantId: string): Promise<Buffer[]> => asTenant(api.db, tenantId, async (tx) => (await tx.sql<{ pdf: Buffer }>('SELECT pdf FROM statement')).rows.map(({ pdf }) => pdf));
const numbersOf = (tenantId: string): Promise<string[]> => asTenant(api.db, tenantId, async (tx) => (await tx.sql<{ number: string }>('SELECT number FROM settlement WHERE number IS NOT NULL ORDER BY id')).rows.map(({ number }) => number));
/** What the worker is given: the clock of the machine, unless another one is named. */
const worker = (more: Partial<StatementDeps> = {}): StatementDeps => workDeps(api.backoffice, { clock: systemClock, ...more });
const at = (instant: Date): Pick<StatementDeps, 'clock'> => ({ clock: { now: () => instant } });

it('is turned on only where the server names an authority', async () => {
  const office = api.operator.as('owner');
  const { headers, body } = await office.get('/v1/operator').expect(200);
  expect(body).toMatchObject({ statementsStamped: false });
  const answer = await office.patch('/v1/operator', { statementsStamped: true }).set('If-Match', headers['etag'] ?? '').expect(422);
  expect(errorsOf(answer)).toEqual(['#/statementsStamped no-timestamp-authority']);
  await office.patch('/v1/operator', { statementsStamped: false }).set('If-Match', headers['etag'] ?? '').expect(200);
});

it('waits where the worker knows no authority, gives up after a day, and is issued without once stamps are off', async () => {
  const month = await numberedMonth();
  const first = new Date();
  await expect(doWaitingWork(worker(at(first)), month.tenantId)).rejects.toThrow('TIMESTAMP_AUTHORITY_URL');
  const numbers = await numbersOf(month.tenantId);
  const missed = { since: first.toISOString(), until: new Date(first.getTime() + 24 * HOUR_MS).toISOString(), said: expect.stringContaining('no-authority') as string };
  expect((await closeOf(month)).progress).toMatchObject({ numbered: SITES, issued: 0, running: true, keyMissed: null, stampMissed: missed });
  // Since when stays, however often it is tried.
  await expect(doWaitingWork(worker(at(new Date(first.getTime() + 23 * HOUR_MS))), month.tenantId)).rejects.toThrow('TIMESTAMP_AUTHORITY_URL');
  expect((await closeOf(month)).progress).toMatchObject({ stampMissed: missed });
  expect(await filesOf(month.tenantId)).toEqual([]);

  await doWaitingWork(worker(at(new Date(first.getTime() + 24 * HOUR_MS))), month.tenantId);
  const given = await closeOf(month);
  expect(given.progress).toMatchObject({ numbered: SITES, issued: 0, failed: SITES, running: false, stampMissed: null });
  expect(given.failures.map(({ step, code }) => `${step} ${code}`)).toEqual(Array.from({ length: SITES }, () => 'render statement-not-stamped'));
  // Why, as it was said last.
  expect(given.failures.map(({ message }) => message.includes('(no-authority): TIMESTAMP_AUTHORITY_URL'))).toEqual(Array.from({ length: SITES }, () => true));

  await setStamped(month.tenantId, false);
  await issueClose(api.backoffice, owner(month.tenantId), month.id);
  await doWaitingWork(worker(), month.tenantId);
  expect((await closeOf(month)).progress).toMatchObject({ issued: SITES, failed: 0, running: false });
  expect(numbers).toHaveLength(SITES);
  expect(await numbersOf(month.tenantId)).toEqual(numbers);
  const verdicts = await Promise.all((await filesOf(month.tenantId)).map((pdf) => verifyStatement(pdf)));
  expect(verdicts.map((verdict) => [holdsWhole(verdict), verdict.findings.some(({ check }) => check === 'time-stamp')])).toEqual(Array.from({ length: SITES }, () => [true, false]));
});

describeWithProgram('openssl', 'openssl', () => {
  let authority: TimestampAuthority;
  let stranger: TimestampAuthority;
  beforeAll(() => {
    authority = startTimestampAuthority();
    stranger = startTimestampAuthority({ name: 'Somebody else' });
  });
  afterAll(() => {
    authority.close();
    stranger.close();
  });

  it('keeps what was stamped before the authority broke off, goes on when told to, and every statement is stamped once', async () => {
    const month = await numberedMonth();
    let answers = 1;
    const breaksOff: Asked = {
      ...asked(authority),
      ask: async (request) => {
        answers -= 1;
        if (answers < 0) throw new Error('no route to the clock');
        return authority.answer(request);
      },
    };
    await expect(doWaitingWork(worker({ timestampAuthority: breaksOff }), month.tenantId)).rejects.toThrow('no route to the clock');
    const numbers = await numbersOf(month.tenantId);
    expect((await closeOf(month)).progress).toMatchObject({ numbered: SITES, issued: 1, running: true, stampMissed: { said: expect.stringContaining('out-of-reach') as string } });

    await issueClose(api.backoffice, owner(month.tenantId), month.id);
    await doWaitingWork(worker({ timestampAuthority: asked(authority) }), month.tenantId);
    expect((await closeOf(month)).progress).toMatchObject({ issued: SITES, failed: 0, running: false, stampMissed: null });
    expect(await numbersOf(month.tenantId)).toEqual(numbers);
    const trust = { anchors: [authority.anchor] };
    const verdicts = await Promise.all((await filesOf(month.tenantId)).map((pdf) => verifyStatement(pdf, { trust })));
    expect(verdicts.filter(holdsWhole)).toHaveLength(SITES);
    const stamps = verdicts.flatMap(({ findings }) => findings.flatMap((finding) => (finding.check === 'time-stamp' && finding.holds === true ? [finding.timestamp] : [])));
    expect(stamps).toMatchObject(Array.from({ length: SITES }, () => ({ authority: 'Clock of a test', trusted: true })));
    expect(new Set(stamps.map(({ serialNumber }) => serialNumber)).size).toBe(SITES);
  });

  it('is turned on after a trial, and refused with what was wrong with its stamp', async () => {
    const month = await numberedMonth();
    await setStamped(month.tenantId, false);
    const wrong: [Asked, RegExp][] = [
      [{ ...asked(authority), ask: async () => Promise.reject(new Error('no route to the clock')) }, /\(out-of-reach\): no route to the clock/],
      [{ ...asked(stranger), trust: asked(authority).trust }, /\(chain-not-trusted\)/],
    ];
    for (const [timestampAuthority, said] of wrong) {
      expect(await turnedOn(month.tenantId, timestampAuthority)).toEqual([expect.stringMatching(/^no-usable-timestamp /)]);
      expect(await turnedOn(month.tenantId, timestampAuthority)).toEqual([expect.stringMatching(said)]);
    }
    expect(await turnedOn(month.tenantId, { ...asked(authority), trust: { anchors: [] } })).toEqual([expect.stringMatching(/^no-timestamp-authority /)]);
    expect(await turnedOn(month.tenantId, asked(authority))).toEqual(['statementsStamped true']);
    // On already, nobody is asked again.
    expect(await turnedOn(month.tenantId, { ...asked(authority), ask: async () => Promise.reject(new Error('asked')) })).toEqual(['statementsStamped true']);
    // With a certificate in use the stamp is made on its signature.
    await doWaitingWork(worker({ timestampAuthority: asked(authority) }), month.tenantId);
    await setStamped(month.tenantId, false);
    expect(await turnedOn(month.tenantId, asked(authority))).toEqual(['statementsStamped true']);
  });

  it('asks for the stamps of several statements side by side', async () => {
    const month = await numberedMonth();
    let asking = 0;
    let all: () => void;
    const everyoneAsked = new Promise<void>((resolve) => (all = resolve));
    const patient: Asked = {
      ...asked(authority),
      ask: async (request) => {
        asking += 1;
        if (asking === SITES) all();
        await everyoneAsked;
        return authority.answer(request);
      },
    };
    await doWaitingWork(worker({ timestampAuthority: patient }), month.tenantId);
    expect(asking).toBe(SITES);
    expect((await closeOf(month)).progress).toMatchObject({ issued: SITES, failed: 0, running: false });
    const verdicts = await Promise.all((await filesOf(month.tenantId)).map((pdf) => verifyStatement(pdf, { trust: { anchors: [authority.anchor] } })));
    expect(verdicts.filter(holdsWhole)).toHaveLength(SITES);
  });

  it('issues nothing with a stamp that does not hold', async () => {
    const month = await numberedMonth();
    const older = authority.answer(timestampRequest({ data: Buffer.from('another signature'), nonce: Buffer.from('01', 'hex') }));
    const tries: [Partial<StatementDeps>, string][] = [
      [{ timestampAuthority: { ...asked(authority), ask: async () => Buffer.from('<html>') } }, 'unreadable'],
      [{ timestampAuthority: { ...asked(stranger), trust: asked(authority).trust } }, 'chain-not-trusted'],
      // Nobody in particular is no authority.
      [{ timestampAuthority: { ...asked(authority), trust: { anchors: [] } } }, 'no-authority'],
      [{ timestampAuthority: { ...asked(authority), trust: { anchors: [authority.anchor], policy: '1.2.3.4' } } }, 'not-granted'],
      [{ timestampAuthority: asked(authority), clock: { now: () => new Date(Date.now() + 10 * 60 * 1000) } }, 'other-time'],
      [{ timestampAuthority: { ...asked(authority), ask: async () => older } }, 'other-data'],
    ];
    for (const [deps, problem] of tries) {
      await expect(doWaitingWork(worker(deps), month.tenantId)).rejects.toThrow(`(${problem})`);
    }
    expect(await filesOf(month.tenantId)).toEqual([]);
    expect((await closeOf(month)).progress).toMatchObject({ numbered: SITES, issued: 0, running: true });
  });
});
