/**
 * The variances of a month with 16,000 counts (sums, and the first 50 flags) over HTTP, against a bare server on the same
 * database that runs the same statements and sends their rows, with 20 readers at once. By turns, so that whatever else
 * the machine does meets both.
 */
import Fastify from 'fastify';
import { Agent, get } from 'node:http';
import { Pool } from 'pg';
import { createApiToken } from '#backoffice/api-token/create';
import { selectWaitingSites } from '#backoffice/collection/blind.sql';
import { selectFlags } from '#backoffice/variance/flag.sql';
import { countFlags, selectTotals } from '#backoffice/variance/month.sql';
import { closeDatabase, createDatabase, withTenant, type TenantTransaction } from '#database/tenant';
import { startTestApi, type TestApi } from '#tests/support/api';
import { onConnection } from '#tests/support/connection';
import { type TestDatabase } from '#tests/support/database';
import { withMigratedServer } from '#tests/support/migrated-server';
import { writeMonth } from '#tests/support/month-fixture';

export type VarianceListBench = {
  readonly counts: number;
  readonly statements: number;
  /** Milliseconds at the 99th percentile, and over that of the bare server. */
  readonly milliseconds: number;
  readonly bareMilliseconds: number;
  readonly ratio: number;
};

const SITES = Number(process.env['VARIANCE_SITES'] ?? 1000);
const READERS = 20;
const TURNS = Number(process.env['VARIANCE_TURNS'] ?? 10);
const REQUESTS_PER_TURN = 5;
const POOL_SIZE = 8;

type Statement = { readonly text: string; readonly values: readonly unknown[] };

export async function benchVarianceList(): Promise<VarianceListBench> {
  let figures: VarianceListBench | undefined;
  await withMigratedServer(async (server) => {
    const superuser = new URL(server.superuserUrl);
    superuser.pathname = new URL(server.urls.app).pathname;
    const database = createDatabase({ appUrl: server.urls.app, poolSize: POOL_SIZE });
    const db: TestDatabase = { name: 'variance-list', database, urls: { ...server.urls, superuser: superuser.toString() }, drop: () => closeDatabase(database) };
    const api = await startTestApi({ db, now: '2025-12-01T12:00:00Z' });
    try {
      figures = await measure(api);
    } finally {
      await api.close();
    }
  });
  if (figures === undefined) throw new Error('nothing was measured');
  return figures;
}

async function measure(api: TestApi): Promise<VarianceListBench> {
  const { tenantId } = api.operator;
  const month = await writeMonth(api.db, { sites: SITES, machinesPerSite: 4, collectionsPerSite: 4 }, tenantId);
  await writeVariances(api.db, tenantId);
  const statements = await statementsOf(api);
  const bare = await startBare(api.db.urls.superuser, statements);
  try {
    const ours = { url: `${api.url}/v1/variances?month=2025-10`, headers: { Authorization: `Bearer ${await token(api)}` } };
    const floor = { url: bare.url, headers: {} };
    // The first ones plan the statements and warm both servers up.
    await readAtOnce(ours);
    await readAtOnce(floor);
    const [milliseconds, bareMilliseconds]: [number[], number[]] = [[], []];
    for (let turn = 0; turn < TURNS; turn += 1) {
      milliseconds.push(...(await readAtOnce(ours)));
      bareMilliseconds.push(...(await readAtOnce(floor)));
    }
    const [own, others] = [percentile99(milliseconds), percentile99(bareMilliseconds)];
    return { counts: month.boxCountCount, statements: statements.length, milliseconds: own, bareMilliseconds: others, ratio: own / others };
  } finally {
    await bare.close();
  }
}

/**
 * Every machine with a board whose coin and note meters were read at each count, so that the tables are as full as where
 * meters are recorded: differences of some cents in coins, none in notes, one count in a hundred out of tolerance and flagged.
 */
async function writeVariances(db: TestDatabase, tenantId: string): Promise<void> {
  await onConnection(db.urls.superuser, async (client) => {
    await client.query('SET session_replication_role = replica');
    for (const statement of [...readings, ...variances]) await client.query(statement, [tenantId]);
    await client.query('SET session_replication_role = origin');
    await client.query('ANALYZE');
  });
}

/** What each meter shows after a count is all that was counted by it up to then, in its units, and the cents of `variances`. */
const readings = [
  `INSERT INTO counter_board (tenant_id, id, machine_id, label, fitted_at, created_at)
   SELECT tenant_id, gen_random_uuid(), id, 'Main board', '2025-01-01', '2025-01-01' FROM machine WHERE tenant_id = $1`,
  `INSERT INTO meter (tenant_id, id, board_id, machine_id, label, tender, digits, capacity, currency, most_per_hour)
   SELECT k.tenant_id, gen_random_uuid(), k.id, k.machine_id, kind.label, kind.tender, 10, 10000000000, 'USD', 1000000
     FROM counter_board k CROSS JOIN (VALUES ('Coins', 'coin'), ('Notes', 'note')) AS kind (label, tender) WHERE k.tenant_id = $1`,
  `INSERT INTO meter_value (tenant_id, meter_id, effective_at, unit_value_minor, recorded_at, recorded_by)
   SELECT tenant_id, id, '2025-01-01', 1, '2025-01-01', 'system:bench' FROM meter WHERE tenant_id = $1`,
  `INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, collection_id, value, read_again, recorded_at, recorded_by)
   SELECT m.tenant_id, gen_random_uuid(), m.id, m.machine_id, m.capacity, c.happened_at, 'only', 'collection', c.id,
          sum(CASE m.tender WHEN 'coin' THEN b.coin_minor ELSE b.note_minor END) OVER (PARTITION BY m.id ORDER BY c.happened_at), false, c.recorded_at, 'system:bench'
     FROM meter m JOIN box_count b ON b.tenant_id = m.tenant_id AND b.machine_id = m.machine_id JOIN collection c ON c.tenant_id = b.tenant_id AND c.id = b.collection_id
    WHERE m.tenant_id = $1`,
];

const variances = [
  `INSERT INTO cash_variance (tenant_id, id, collection_id, site_id, placement_id, machine_id, tender, revision, currency, happened_at, local_date, accounting_date, expected_minor,
                              counted_minor, out_of_tolerance, left_out, chart_sum, chart_average, average_limit, signals, source, since_at, recorded_at)
   SELECT b.tenant_id, gen_random_uuid(), b.collection_id, b.site_id, b.placement_id, b.machine_id, kind.tender, 1, b.currency, c.happened_at, c.local_date, c.accounting_date,
          found.minor + CASE WHEN kind.tender = 'note' THEN 0 WHEN n % 100 = 0 THEN 4000 ELSE n % 50 END, found.minor, kind.tender = 'coin' AND n % 100 = 0, false, 0, 0, 0, '{}', 'meters', '2025-01-01', c.recorded_at
     FROM (SELECT *, row_number() OVER (ORDER BY id) AS n FROM box_count WHERE tenant_id = $1) b JOIN collection c ON c.tenant_id = b.tenant_id AND c.id = b.collection_id
     CROSS JOIN (VALUES ('coin'), ('note')) AS kind (tender)
     CROSS JOIN LATERAL (SELECT CASE kind.tender WHEN 'coin' THEN b.coin_minor ELSE b.note_minor END AS minor) found`,
  `INSERT INTO variance_flag (tenant_id, id, collection_id, site_id, placement_id, machine_id, currency, accounting_date, state, raised_at)
   SELECT tenant_id, id, collection_id, site_id, placement_id, machine_id, currency, accounting_date, 'open', recorded_at FROM cash_variance WHERE tenant_id = $1 AND out_of_tolerance`,
  `INSERT INTO variance_flag_event (tenant_id, id, flag_id, kind, reasons, figures, happened_at, happened_by)
   SELECT tenant_id, gen_random_uuid(), id, 'raised', '{tolerance}', '[]', raised_at, 'system:bench' FROM variance_flag WHERE tenant_id = $1`,
];

/** The statements of the list with their values, as the use case runs them. */
async function statementsOf(api: TestApi): Promise<readonly Statement[]> {
  const statements: Statement[] = [];
  await withTenant(api.db.database, { tenantId: api.operator.tenantId, kind: 'system', id: 'bench' }, async (tx) => {
    const noted: TenantTransaction = {
      ...tx,
      sql: (text, values = []) => {
        statements.push({ text, values });
        return tx.sql(text, values);
      },
    };
    const days = { from: '2025-10-01', before: '2025-11-01', siteId: null, notSites: await selectWaitingSites(noted, 'every') };
    await selectTotals(noted, days);
    await countFlags(noted, days);
    await selectFlags(noted, { ...days, machineId: null, collectorId: null, state: null, after: null, limit: 50 });
  });
  return statements;
}

/** Nothing between HTTP and the rows: no permission, no tenant, no shape. By a role that row security does not hold. */
async function startBare(connectionString: string, statements: readonly Statement[]): Promise<{ url: string; close: () => Promise<void> }> {
  const pool = new Pool({ connectionString, max: POOL_SIZE });
  const server = Fastify();
  server.get('/', async () => {
    const client = await pool.connect();
    try {
      const answers: unknown[] = [];
      for (const { text, values } of statements) answers.push((await client.query(text, [...values])).rows);
      return answers;
    } finally {
      client.release();
    }
  });
  const url = await server.listen({ port: 0, host: '127.0.0.1' });
  return {
    url,
    close: async () => {
      await server.close();
      await pool.end();
    },
  };
}

async function token(api: TestApi): Promise<string> {
  const owner = { kind: 'system', id: 'bench', tenantId: api.operator.tenantId } as const;
  const made = await createApiToken(api.backoffice, owner, { name: 'Bench', role: 'auditor', scopes: ['read'], expiresAt: '2025-12-31T00:00:00Z' });
  if (!made.ok || made.value.secret === null) throw new Error('no token was made');
  return made.value.secret;
}

type Asked = { readonly url: string; readonly headers: { readonly [name: string]: string } };

/** Milliseconds of each request: every reader asks the next one when it has its answer. */
async function readAtOnce(asked: Asked): Promise<number[]> {
  const agent = new Agent({ keepAlive: true, maxSockets: READERS });
  const took: number[] = [];
  const reader = async (): Promise<void> => {
    for (let request = 0; request < REQUESTS_PER_TURN; request += 1) {
      const startedAt = performance.now();
      await read(asked, agent);
      took.push(performance.now() - startedAt);
    }
  };
  await Promise.all(Array.from({ length: READERS }, reader));
  // A connection that is kept open would keep the server from closing.
  agent.destroy();
  return took;
}

function read({ url, headers }: Asked, agent: Agent): Promise<void> {
  return new Promise((resolve, reject) => {
    const request = get(url, { headers, agent }, (answer) => {
      answer.resume();
      answer.on('error', reject);
      answer.on('end', () => (answer.statusCode === 200 ? resolve() : reject(new Error(`${url} answered ${answer.statusCode ?? 0}`))));
    });
    request.on('error', reject);
  });
}

function percentile99(values: readonly number[]): number {
  return [...values].sort((first, second) => first - second)[Math.floor(values.length * 0.99)] ?? 0;
}
