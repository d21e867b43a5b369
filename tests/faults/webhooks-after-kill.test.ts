/** A worker that is killed between any two steps of telling webhooks: each is told everything, under one id and with the same bytes, and what went out twice is known by its id. */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { createServer, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { announce } from '#backoffice/webhook/announce.sql';
import { createWebhook } from '#backoffice/webhook/create';
import { areDeliveriesDue, deliverDue } from '#backoffice/webhook/deliver';
import { noSecrets, type Backoffice } from '#backoffice/dependencies';
import { newId } from '#runtime/ids';
import { operatorSecretsUnder } from '#runtime/operator-secrets';
import { outgoing } from '#runtime/outgoing-post';
import { parseNetwork } from '#runtime/public-address';
import { onConnection } from '#tests/support/connection';
import { asTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { writeMonth } from '#tests/support/month-fixture';
import { testMasterKey } from '#tests/support/work';

const EVENTS = 3;
const WEBHOOKS = 2;
/** Lanes of a worker: as many requests may have arrived of which it could not write it down. */
const MOST_TWICE = 4;
const allowed = [parseNetwork('127.0.0.0/8')].flatMap((network) => network ?? []);

let db: TestDatabase;
let receiver: Server;
let received: { readonly path: string; readonly id: string; readonly body: string }[] = [];
let now = new Date('2026-05-02T15:00:00Z');
let backoffice: Backoffice;

beforeAll(async () => {
  db = await createTestDatabase();
  backoffice = { database: db.database, clock: { now: () => now }, newId, publicUrl: 'http://127.0.0.1', ...noSecrets, operatorSecrets: operatorSecretsUnder([testMasterKey]) };
  receiver = createServer((request, answer) => {
    let body = '';
    request.on('data', (part: Buffer) => (body += part.toString('utf8')));
    request.on('end', () => {
      received.push({ path: request.url ?? '', id: String(request.headers['webhook-id']), body });
      answer.writeHead(204).end();
    });
  }).listen(0, '127.0.0.1');
  await once(receiver, 'listening');
});
afterAll(async () => {
  receiver?.closeAllConnections();
  receiver?.close();
  await db?.drop();
});

/** An operator with webhooks and as many things that happened, told to nobody yet. */
async function operatorWithNews(): Promise<string> {
  const { tenantId } = await writeMonth(db, { sites: EVENTS, machinesPerSite: 1, collectionsPerSite: 1 });
  const { port } = receiver.address() as AddressInfo;
  for (let place = 0; place < WEBHOOKS; place += 1) {
    const made = await createWebhook(
      { ...backoffice, whyUnreachable: outgoing({ allowed }).whyUnreachable },
      { kind: 'system', id: 'test', tenantId },
      { name: `Receiver ${place}`, url: `http://127.0.0.1:${port}/${place}`, eventTypes: ['collection.accepted'] },
    );
    if (!made.ok) throw new Error(made.failure.code);
  }
  await asTenant(db, tenantId, async (tx) => {
    const { rows } = await tx.sql<{ id: string }>('SELECT id FROM collection');
    // Announced twice, as work is that is done again.
    for (const repeated of [rows, rows]) await announce(tx, { type: 'collection.accepted', told: repeated.map(({ id }) => ({ subjectId: id })), now });
  });
  return tenantId;
}

/** Kills a worker after some steps; tells whether there were as many. The receiver is in this process and has to go on. */
async function killAfter(steps: number, tenantId: string): Promise<boolean> {
  const program = join(__dirname, '..', 'support', 'killed-webhook-worker.ts');
  const child = spawn(process.execPath, ['-C', 'src', '-r', '@swc-node/register', program, db.urls.app, tenantId, String(steps)], { stdio: ['ignore', 'ignore', 'inherit'] });
  const [status, signal] = (await once(child, 'exit')) as [number | null, NodeJS.Signals | null];
  if (signal === 'SIGKILL') {
    await untilForgotten('killed webhook worker');
    return true;
  }
  if (status !== 0) throw new Error(`the worker ended with ${status}`);
  return false;
}

/**
 * The database does to its end what a dead process had sent it, and a busy machine takes a moment for it. By the clock of this test the next worker comes
 * minutes later, so it must find nothing of the first one under way.
 */
async function untilForgotten(applicationName: string): Promise<void> {
  for (;;) {
    const { rowCount } = await onConnection(db.urls.superuser, (client) => client.query('SELECT FROM pg_stat_activity WHERE datname = current_database() AND application_name = $1', [applicationName]));
    if (rowCount === 0) return;
    await pause(20);
  }
}

/** The next worker, some minutes later. */
async function finish(tenantId: string): Promise<void> {
  now = new Date(now.getTime() + 5 * 60_000);
  const trouble: unknown[] = [];
  const deps = { ...backoffice, post: outgoing({ allowed }).post, onTrouble: (error: unknown) => void trouble.push(error) };
  if (await areDeliveriesDue(deps, tenantId)) await deliverDue(deps, tenantId);
  expect(trouble).toEqual([]);
  expect(await areDeliveriesDue(deps, tenantId)).toBe(false);
}

it(
  'tells each webhook everything, wherever it was cut off',
  async () => {
    let steps = 1;
    for (; ; steps += 1) {
      [now, received] = [new Date('2026-05-02T15:00:00Z'), []];
      const tenantId = await operatorWithNews();
      const wasKilled = await killAfter(steps, tenantId);
      await finish(tenantId);
      const { rows } = await asTenant(db, tenantId, (tx) =>
        tx.sql<{ event_id: string; body: string; path: string; state: string; attempts: number; ends: bigint }>(
          `SELECT d.event_id, e.body, right(w.url, 2) AS path, d.state, d.attempts, (SELECT count(*) FROM webhook_attempt a WHERE a.delivery_id = d.id) AS ends
             FROM webhook_delivery d JOIN webhook_event e ON e.id = d.event_id JOIN webhook w ON w.id = d.webhook_id`,
        ),
      );
      const told = received.map(({ path, id, body }) => `${path} ${id} ${body}`);
      expect({ steps, deliveries: rows.length, states: [...new Set(rows.map(({ state }) => state))] }).toEqual({ steps, deliveries: EVENTS * WEBHOOKS, states: ['delivered'] });
      expect(new Set(told)).toEqual(new Set(rows.map(({ path, event_id: id, body }) => `${path} ${id} ${body}`)));
      expect(told.length - new Set(told).size).toBeLessThanOrEqual(wasKilled ? MOST_TWICE : 0);
      // Of what was begun, all came to an end but what was under way at the end of the first worker.
      expect(rows.every(({ attempts, ends }) => attempts <= 2 && ends >= 1n && ends <= BigInt(attempts))).toBe(true);
      if (!wasKilled) break;
    }
    // The last round was not killed: before it, every step was.
    expect(steps).toBeGreaterThan(2 + 3 * EVENTS * WEBHOOKS - 1);
  },
  600_000,
);
