/** Statements on their way out of the house: a worker that is killed while it mails them, and an API that is killed while it sends all of a month as one file. */
import { spawn, spawnSync, type ChildProcess } from 'node:child_process';
import { createHash } from 'node:crypto';
import { chmodSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { createApiToken } from '#backoffice/api-token/create';
import { issueClose, reviewClose } from '#backoffice/close/go-on';
import { startClose } from '#backoffice/close/start';
import { hashPassword } from '#backoffice/identity/password';
import { noSecrets, type Backoffice } from '#backoffice/dependencies';
import { askForMails, readMails } from '#backoffice/statement-mail/ask';
import { mailStatements } from '#backoffice/statement-mail/mail-statements';
import { localDate } from '#domain/calendar/local-date';
import { newId } from '#runtime/ids';
import { createUser } from '#tests/support/api';
import { fixedClock } from '#runtime/clock';
import { asTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { writeMonth } from '#tests/support/month-fixture';
import { freePort } from '#tests/support/free-port';
import { doWaitingWork, workDeps } from '#tests/support/work';

let db: TestDatabase;
let folder: string;
const clock = fixedClock('2025-11-05T12:00:00Z');
const backoffice = (): Backoffice => ({ database: db.database, clock, newId, publicUrl: 'http://127.0.0.1', ...noSecrets });
const caller = (tenantId: string) => ({ kind: 'system', id: 'test', tenantId }) as const;
const sourceArguments = (program: readonly string[]): string[] => ['-C', 'src', '-r', '@swc-node/register', join(__dirname, '..', '..', ...program)];

beforeAll(async () => {
  db = await createTestDatabase();
  folder = mkdtempSync(join(tmpdir(), 'statements-out-'));
});
afterAll(async () => {
  rmSync(folder, { recursive: true });
  await db?.drop();
});

async function issuedMonth(sites: number): Promise<{ tenantId: string; closeId: string }> {
  const { tenantId } = await writeMonth(db, { sites, machinesPerSite: 2, collectionsPerSite: 2 });
  const started = await startClose(backoffice(), caller(tenantId), { cycle: 'month', startsOn: localDate('2025-10-01') });
  if (!started.ok) throw new Error(started.failure.code);
  const closeId = started.value.id;
  const work = (): Promise<number> => doWaitingWork(workDeps(backoffice()), tenantId);
  await work();
  await reviewClose(backoffice(), caller(tenantId), { id: closeId });
  await work();
  await issueClose(backoffice(), caller(tenantId), closeId);
  await work();
  return { tenantId, closeId };
}

describe('mails', () => {
  const SITES = 3;
  let tenantId: string;
  let closeId: string;
  beforeAll(async () => {
    ({ tenantId, closeId } = await issuedMonth(SITES));
    const siteIds = (await asTenant(db, tenantId, (tx) => tx.sql<{ id: string }>('SELECT id FROM site'))).rows.map(({ id }) => id);
    await createUser({ db, clock, url: '', passwordHash: await hashPassword('nobody signs in by this') }, { tenantId, role: 'site-manager', siteIds });
  });

  /** As if nothing had gone out yet. */
  async function askAnew(): Promise<string> {
    await asTenant(db, tenantId, (tx) => tx.sql('DELETE FROM statement_mail'));
    await askForMails(backoffice(), caller(tenantId), { id: closeId });
    const mails = join(folder, newId());
    mkdirSync(mails);
    return mails;
  }

  it('go out once each, wherever the worker was cut off; the one of which nobody knows is listed and waits for a word', async () => {
    let steps = 1;
    for (; ; steps += 1) {
      const mails = await askAnew();
      const copies = (): string[] => readdirSync(mails).map((name) => readFileSync(join(mails, name), 'utf8')).sort();
      const run = spawnSync(process.execPath, [...sourceArguments(['tests', 'support', 'killed-mailer.ts']), db.urls.app, mails, String(steps)], { encoding: 'utf8' });
      const wasKilled = run.signal === 'SIGKILL';
      if (!wasKilled && run.status !== 0) throw new Error(run.stderr);
      const leftBefore = Math.floor(steps / 2);
      expect({ steps, copies: copies() }).toMatchObject({ copies: { length: wasKilled ? leftBefore : SITES } });

      const send = async ({ subject }: { subject: string }) => (writeFileSync(join(mails, newId()), subject), 'sent' as const);
      const onTrouble = (error: unknown): never => {
        throw error;
      };
      await mailStatements(backoffice(), { send, onTrouble });
      const after = copies();
      // Never two of one; what was lost is the one that had been taken and not sent.
      expect(new Set(after).size).toBe(after.length);
      expect({ steps, sent: after.length }).toEqual({ steps, sent: wasKilled && steps % 2 === 1 ? SITES - 1 : SITES });
      const later = { ...backoffice(), clock: fixedClock('2025-11-05T12:11:00Z') };
      const told = await readMails(later, caller(tenantId), closeId);
      expect(told).toMatchObject({ ok: true, value: { waiting: 0, sent: wasKilled ? SITES - 1 : SITES, unclear: wasKilled ? 1 : 0 } });
      await mailStatements(later, { send, onTrouble });
      expect(copies()).toEqual(after);
      if (!wasKilled) break;
    }
    expect(steps).toBe(2 * SITES + 1);
  }, 300_000);
});

describe('the archive of a month', () => {
  const SITES = 150;
  const apis: ChildProcess[] = [];
  afterAll(() => apis.forEach((api) => api.kill('SIGKILL')));

  async function startApi(): Promise<{ api: ChildProcess; url: string }> {
    const keyFile = join(folder, 'master.key');
    writeFileSync(keyFile, `${createHash('sha256').update('of this test').digest('base64')}\n`);
    chmodSync(keyFile, 0o600);
    const port = await freePort();
    const url = `http://127.0.0.1:${port}`;
    const api = spawn(process.execPath, sourceArguments(['apps', 'api', 'main.ts']), {
      stdio: ['ignore', 'ignore', 'inherit'],
      env: { PATH: process.env['PATH'], APP_DATABASE_URL: db.urls.app, MASTER_KEY_FILE: keyFile, MAIL_DIRECTORY: join(folder, 'mail'), PUBLIC_URL: url, PORT: String(port) },
    });
    apis.push(api);
    for (;;) {
      if (api.exitCode !== null) throw new Error(`the api ended with ${api.exitCode}`);
      if ((await fetch(`${url}/health/ready`).then((answer) => answer.status, () => 0)) === 200) return { api, url };
      await pause(50);
    }
  }

  it('goes on from the next API where the killed one broke it off, to the same bytes', async () => {
    const { tenantId, closeId } = await issuedMonth(SITES);
    const expiresAt = new Date(Date.now() + 86_400_000).toISOString();
    const token = await createApiToken({ ...backoffice(), clock: { now: () => new Date() } }, caller(tenantId), { name: 'Archive', role: 'bookkeeper', scopes: ['read'], expiresAt });
    if (!token.ok) throw new Error(token.failure.code);
    const headers = { Authorization: `Bearer ${token.value.secret ?? ''}` };
    const first = await startApi();
    const path = `/v1/closes/${closeId}/statements`;
    const answer = await fetch(first.url + path, { headers });
    expect(answer.status).toBe(200);
    const [etag, sizeBytes] = [answer.headers.get('etag') ?? '', Number(answer.headers.get('content-length'))];
    const begun: Uint8Array[] = [];
    const broken = (async () => {
      for await (const chunk of answer.body ?? []) {
        begun.push(chunk as Uint8Array);
        if (begun.length === 2) first.api.kill('SIGKILL');
        // Slower than it is sent, so that what is on its way when the sender dies is not all.
        await pause(20);
      }
    })();
    await expect(broken).rejects.toThrow();
    const start = Buffer.concat(begun);
    expect(start.length).toBeGreaterThan(0);
    expect(start.length).toBeLessThan(sizeBytes);

    const second = await startApi();
    const rest = await fetch(second.url + path, { headers: { ...headers, Range: `bytes=${start.length}-`, 'If-Range': etag } });
    expect(rest.status).toBe(206);
    const whole = Buffer.concat([start, Buffer.from(await rest.arrayBuffer())]);
    const anew = Buffer.from(await (await fetch(second.url + path, { headers })).arrayBuffer());
    expect(whole.length).toBe(sizeBytes);
    expect(createHash('sha256').update(whole).digest('hex')).toBe(createHash('sha256').update(anew).digest('hex'));
  }, 120_000);
});
