import { randomBytes } from 'node:crypto';
import { setTimeout as pause } from 'node:timers/promises';
import { Client } from 'pg';
import { migrateDatabase, prepareDatabase } from '#database/migrate';
import { createRelay } from '#database/relay';
import type { RoleUrls } from '#database/roles';
import { until } from '#tests/support/until';
import { startTemporaryPostgres, type EmbeddedPostgres } from './embedded-postgres';
import { newId } from './ids';
import { startOutboxRelay, type OutboxRelay } from './outbox-relay';
import type { WakeUp } from './queue';

let postgres: EmbeddedPostgres;
let urls: RoleUrls;
beforeAll(async () => {
  postgres = await startTemporaryPostgres();
  const password = (): string => randomBytes(18).toString('base64url');
  urls = await prepareDatabase({
    superuserUrl: postgres.superuserUrl,
    database: 'latchledger',
    passwords: { owner: password(), app: password(), relay: password(), reader: password(), backup: password() },
  });
  await migrateDatabase({ ownerUrl: urls.owner });
});
afterAll(async () => postgres.stop());

const fail = (error: Error): never => {
  throw error;
};

let superuser: Client;
let tenantId: string;
let relays: OutboxRelay[];
beforeEach(async () => {
  const url = new URL(postgres.superuserUrl);
  url.pathname = '/latchledger';
  superuser = new Client({ connectionString: url.toString() });
  await superuser.connect();
  relays = [];
  tenantId = newId();
  await superuser.query(`SELECT set_config('app.actor', 'system:test', false), set_config('app.tenant', $1, false)`, [tenantId]);
  await superuser.query(
    `INSERT INTO operator (tenant_id, code, name, country, currency, locale, time_zone, paper)
     VALUES ($1::uuid, 'relay-' || substr($1::text, 25), 'Example', 'US', 'USD', 'en-US', 'America/Chicago', 'Letter')`,
    [tenantId],
  );
});
afterEach(async () => {
  for (const relay of relays) await relay.close();
  await superuser.query('UPDATE outbox SET relayed_at = now() WHERE relayed_at IS NULL');
  await superuser.end();
});

/** Longer than any test waits. */
const NEVER_MS = 3_600_000;

function start(publish: (wakeUps: readonly WakeUp[]) => Promise<void>, onTrouble: (error: Error) => void = fail): OutboxRelay {
  const relay = startOutboxRelay({ source: createRelay({ relayUrl: urls.relay }), publish, onTrouble, pollMs: NEVER_MS });
  relays.push(relay);
  return relay;
}

async function write(count: number, topic = 'settlement.close'): Promise<string[]> {
  const ids = Array.from({ length: count }, newId);
  await superuser.query(
    `INSERT INTO outbox (tenant_id, id, topic, payload) SELECT $1, id, $2, '{}' FROM unnest($3::uuid[]) AS id`,
    [tenantId, topic, ids],
  );
  return ids;
}

const waiting = async (): Promise<number> =>
  Number((await superuser.query<{ count: string }>('SELECT count(*) FROM outbox WHERE relayed_at IS NULL')).rows[0]?.count);

it('hands over what was written before it started and what is written while it runs, as it is told and in order', async () => {
  const before = await write(3);
  const published: WakeUp[] = [];
  start(async (rows) => void published.push(...rows));
  await until(() => published.length === 3);
  const after = await write(1, 'statement.render');
  await until(() => published.length === 4);
  expect(published.map(({ outboxId }) => outboxId)).toEqual([...before, ...after]);
  expect(published[3]).toEqual({ outboxId: after[0], tenantId, topic: 'statement.render' });
  await until(async () => (await waiting()) === 0);
});

it('moves more rows than one batch holds without waiting in between', async () => {
  await write(1203);
  const batches: number[] = [];
  start(async (rows) => void batches.push(rows.length));
  await until(async () => (await waiting()) === 0);
  expect(batches).toEqual([500, 500, 203]);
});

it('does not mark what the queue did not take, and tries again', async () => {
  const [id] = await write(1);
  const troubles: string[] = [];
  const published: WakeUp[] = [];
  start(
    async (rows) => {
      if (troubles.length === 0) throw new Error('queue away');
      published.push(...rows);
    },
    ({ message }) => void troubles.push(message),
  );
  await until(() => published.length === 1);
  expect(troubles).toEqual(['queue away']);
  expect(published[0]?.outboxId).toBe(id);
});

it('begins when the database comes later than the relay', async () => {
  let isAway = true;
  const source = createRelay({ relayUrl: urls.relay });
  const troubles: string[] = [];
  const published: WakeUp[] = [];
  await write(1);
  relays.push(
    startOutboxRelay({
      source: {
        ...source,
        listen: async (onWork) => {
          if (isAway) throw new Error('connection refused');
          await source.listen(onWork);
        },
      },
      publish: async (rows) => void published.push(...rows),
      onTrouble: ({ message }) => void troubles.push(message),
    }),
  );
  await until(() => troubles.length === 1);
  isAway = false;
  await until(() => published.length === 1);
});

it('goes on after its connections were cut', async () => {
  const published: WakeUp[] = [];
  start(
    async (rows) => void published.push(...rows),
    () => undefined,
  );
  await write(1);
  await until(() => published.length === 1);
  await superuser.query(`SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = 'latchledger_relay'`);
  // A notification before the relay listens again is lost, and its row waits for the next one or the poll; of later ones each is heard.
  const toldAgain = async (): Promise<void> => {
    const before = published.length;
    await until(async () => {
      await write(1);
      return published.length > before;
    });
  };
  await toldAgain();
  await until(async () => (await waiting()) === 0);
  await toldAgain();
});

it('shares the work when two run at once: no row goes out twice', async () => {
  await write(1500);
  const published: string[] = [];
  const publish = async (rows: readonly WakeUp[]): Promise<void> => {
    await pause(20);
    published.push(...rows.map(({ outboxId }) => outboxId));
  };
  start(publish);
  start(publish);
  await until(async () => (await waiting()) === 0);
  expect(published).toHaveLength(1500);
  expect(new Set(published).size).toBe(1500);
});
