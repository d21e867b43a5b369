import { Pool, escapeLiteral, type PoolClient } from 'pg';
import { isOutdatedStatement, preparedStatement } from './prepared';
import { prismaWithin, type PrismaModels } from './prisma';
import { withRetries } from './retry';
import { currentTransaction, inside, openTransaction, type OpenTransaction } from './transaction';
import { valueTypes } from './value-types';

/** The application's connections. Nothing can be asked of it directly: see {@link withTenant}. */
export type Database = { readonly applicationName: string };

export type DatabaseOptions = {
  /** Connection string of the role latchledger_app. */
  readonly appUrl: string;
  /** Most connections at once. One transaction holds one; who finds none waits up to ten seconds. */
  readonly poolSize: number;
  /** Shown in pg_stat_activity, to tell api and worker apart. */
  readonly applicationName?: string;
  /** Told when a connection breaks that nobody was waiting on. */
  readonly onConnectionLost?: (error: Error) => void;
  /** Told when a transaction lost against another one and is run again. */
  readonly onRetry?: (retry: { readonly sqlState: string; readonly attempt: number }) => void;
  /** How long work waits for a free connection before it fails; ten seconds unless given. */
  readonly connectionTimeoutMs?: number;
};

/** For whom and by whom a transaction runs. An `Actor` of the domain and a `Caller` of the use cases fit as they are. */
export type TenantScope = {
  readonly tenantId: string;
  readonly kind: 'user' | 'token' | 'system';
  /** UUID of the user or token; name of the job or command (lower case, digits, `.`, `:`, `-`) for `system`. */
  readonly id: string;
  /** Id that logs and audit trail share. */
  readonly requestId?: string | undefined;
};

export type SqlResult<Row> = {
  readonly rows: Row[];
  /** Rows returned or written by the statement. */
  readonly rowCount: number;
};

export type TenantTransaction = {
  readonly scope: TenantScope;
  readonly tenantId: string;
  /** `user:<uuid>`, `token:<uuid>` or `system:<name>`: what the audit trail and every `..._by` column say. */
  readonly actor: string;
  /** One statement with `$1` parameters. bigint comes as `bigint`, date as `YYYY-MM-DD`, timestamptz as Date. */
  readonly sql: <Row extends object = Record<string, unknown>>(text: string, values?: readonly unknown[]) => Promise<SqlResult<Row>>;
  /** Prisma on the same connection and in the same transaction. Costs some milliseconds the first time it is asked for. */
  readonly prisma: PrismaModels;
  /** Runs work that may fail: when it throws, what it wrote is undone, and the transaction goes on. See `attempt`. */
  readonly underSavepoint: <Value>(work: () => Promise<Value>) => Promise<Value>;
};

/** An answer with which a transaction is undone: a refusal that came after writing, or a rehearsal. */
export class RolledBack<Value> {
  // No plain name: an answer that happens to have a field of that name would count as one of these to the compiler.
  constructor(readonly answerOfUndoneWork: Value) {}
}

/** Returned by the work of a transaction, undoes everything the work wrote; the caller gets the value. */
export function rolledBack<Value>(value: Value): RolledBack<Value> {
  return new RolledBack(value);
}

type Door = {
  readonly pool: Pool;
  readonly checked: WeakSet<PoolClient>;
  readonly options: DatabaseOptions;
};

/** Kept apart from `Database`, so that nobody can reach a connection around the tenant. */
const doors = new WeakMap<Database, Door>();

/** Connects lazily: nothing is opened before the first transaction. */
export function createDatabase(options: DatabaseOptions): Database {
  const database: Database = { applicationName: options.applicationName ?? 'latchledger' };
  const pool = new Pool({
    connectionString: options.appUrl,
    application_name: database.applicationName,
    max: options.poolSize,
    connectionTimeoutMillis: options.connectionTimeoutMs ?? 10_000,
    idleTimeoutMillis: 30_000,
    keepAlive: true,
    types: valueTypes,
  });
  const onLost = (error: Error): void => options.onConnectionLost?.(error);
  pool.on('error', onLost);
  // A connection that is out of the pool has no listener of the pool's, and would end the process when it breaks
  // between two statements. Whoever holds it learns of it by the next statement.
  pool.on('connect', (client) => client.on('error', () => undefined));
  doors.set(database, { pool, checked: new WeakSet(), options });
  return database;
}

/** Waits for running transactions and closes all connections. */
export async function closeDatabase(database: Database): Promise<void> {
  await doorOf(database).pool.end();
}

/** Throws when the database cannot be reached or its role is unfit. For readiness checks. */
export async function pingDatabase(database: Database): Promise<void> {
  const client = await takeConnection(database);
  try {
    await client.query('SELECT 1');
    client.release();
  } catch (error) {
    client.release(true);
    throw error;
  }
}

/** Connections of the pool: all, idle, and how many callers wait for one. */
export function connectionCounts(database: Database): { total: number; idle: number; waiting: number } {
  const { pool } = doorOf(database);
  return { total: pool.totalCount, idle: pool.idleCount, waiting: pool.waitingCount };
}

/**
 * Runs work as one transaction of one tenant: the only way to the data. Row security shows that tenant's rows and takes
 * no others; the audit trail says who acted. READ COMMITTED. Commits when the work returns, rolls back when it throws
 * or returns {@link rolledBack}. After a deadlock or a serialisation failure everything is run again, so the work does
 * nothing that it would not repeat. Calling it within its own work throws: that would be a second transaction that
 * waits for the first.
 */
export async function withTenant<Value>(
  database: Database,
  scope: TenantScope,
  work: (tx: TenantTransaction) => Promise<Value | RolledBack<Value>>,
): Promise<Value> {
  const actor = actorOf(scope);
  if (!UUID.test(scope.tenantId)) throw new Error(`"${scope.tenantId}" is no tenant id.`);
  const settings = { tenant: scope.tenantId, actor, request: scope.requestId ?? '' };
  return runTransaction(database, settings, (transaction) => work(tenantTransaction({ transaction, scope, actor })));
}

/** A function of schema identity; each looks up by hash or id and answers no more than its caller may know. */
type IdentityCall = <Row extends object = Record<string, unknown>>(
  functionName: `identity.${string}`,
  ...values: readonly unknown[]
) => Promise<Row[]>;

/**
 * Runs work as one transaction of no tenant, for what comes before one is known: sign-in, sessions, tokens. No table
 * shows a row there; the work can only call functions of schema identity, with parameters in their order.
 */
export async function withoutTenant<Value>(
  database: Database,
  scope: Omit<TenantScope, 'tenantId'>,
  work: (call: IdentityCall) => Promise<Value | RolledBack<Value>>,
): Promise<Value> {
  const settings = { tenant: '', actor: actorOf(scope), request: scope.requestId ?? '' };
  return runTransaction(database, settings, (transaction) =>
    work(async <Row extends object>(functionName: `identity.${string}`, ...values: readonly unknown[]) => {
      if (!/^identity\.[a-z][a-z0-9_]*$/.test(functionName)) throw new Error(`"${functionName}" is no function of schema identity.`);
      const parameters = values.map((_, index) => `$${index + 1}`).join(', ');
      return (await transaction.run(preparedStatement(`SELECT * FROM ${functionName}(${parameters})`, values))).rows as Row[];
    }),
  );
}

/** Ids of all operators, for jobs that sweep tenant by tenant. */
export async function listTenantIds(database: Database): Promise<string[]> {
  const settings = { tenant: '', actor: 'system:list-tenants', request: '' };
  return runTransaction(database, settings, async (transaction) => {
    const { rows } = await transaction.run({ text: 'SELECT id FROM app.tenant_ids() AS id' });
    return (rows as { id: string }[]).map((row) => row.id);
  });
}

type Settings = { readonly tenant: string; readonly actor: string; readonly request: string };

async function runTransaction<Value>(
  database: Database,
  settings: Settings,
  work: (transaction: OpenTransaction) => Promise<Value | RolledBack<Value>>,
): Promise<Value> {
  if (currentTransaction()) throw new Error('A transaction was begun within another one. Pass the first one on instead.');
  return withRetries(() => runOnce(database, settings, work), doorOf(database).options.onRetry);
}

async function runOnce<Value>(
  database: Database,
  settings: Settings,
  work: (transaction: OpenTransaction) => Promise<Value | RolledBack<Value>>,
): Promise<Value> {
  const client = await takeConnection(database);
  try {
    await client.query(beginSql(settings));
    const transaction = openTransaction(client);
    const value = await workWithin(transaction, work);
    if (value instanceof RolledBack) {
      await client.query('ROLLBACK');
    } else {
      await commit(client);
    }
    client.release();
    return value instanceof RolledBack ? value.answerOfUndoneWork : value;
  } catch (error) {
    await giveBack(client, error);
    throw error;
  }
}

async function workWithin<Value>(
  transaction: OpenTransaction,
  work: (transaction: OpenTransaction) => Promise<Value>,
): Promise<Value> {
  try {
    return await inside(transaction, () => work(transaction));
  } catch (error) {
    throw transaction.explain(error);
  } finally {
    await transaction.close();
  }
}

/** One message to the server: BEGIN and the three settings, which end with the transaction. */
function beginSql(settings: Settings): string {
  const [tenant, actor, request] = [settings.tenant, settings.actor, settings.request].map(escapeLiteral);
  return `BEGIN ISOLATION LEVEL READ COMMITTED; SELECT set_config('app.tenant', ${tenant}, true), set_config('app.actor', ${actor}, true), set_config('app.request', ${request}, true)`;
}

async function commit(client: PoolClient): Promise<void> {
  if (client.getTransactionStatus() === 'I') throw new Error('The work of a transaction ended it.');
  // COMMIT of a transaction in which a statement failed is a ROLLBACK that only its tag tells from success.
  const { command } = await client.query('COMMIT');
  if (command !== 'COMMIT') {
    throw new Error('The work of a transaction went on after a statement had failed. Use attempt() around what may fail.');
  }
}

async function giveBack(client: PoolClient, error: unknown): Promise<void> {
  try {
    await client.query('ROLLBACK');
    client.release(isOutdatedStatement(error));
  } catch {
    // Whatever state the connection is in, nobody else gets it.
    client.release(true);
  }
}

async function takeConnection(database: Database): Promise<PoolClient> {
  const door = doorOf(database);
  const client = await door.pool.connect();
  if (door.checked.has(client)) return client;
  try {
    await refuseUnfitSession(client);
  } catch (error) {
    client.release(true);
    throw error;
  }
  door.checked.add(client);
  return client;
}

/** Once per connection. A superuser or the owner of the tables would see more than one tenant, or undo row security. */
async function refuseUnfitSession(client: PoolClient): Promise<void> {
  const { rows } = await client.query<{ role: string; unfit: boolean; zone: string }>(
    `SELECT current_user AS role, current_setting('TimeZone') AS zone,
            rolsuper OR rolbypassrls OR pg_has_role(current_user, 'latchledger_owner', 'MEMBER') AS unfit
       FROM pg_roles WHERE rolname = current_user`,
  );
  const session = rows[0];
  if (!session || session.unfit) {
    throw new Error(`Role "${session?.role ?? ''}" stands above row security. The application connects as latchledger_app.`);
  }
  // Prisma's adapter cuts off the offset of a time and takes what is left for UTC.
  if (session.zone !== 'UTC') throw new Error(`Role "${session.role}" must have TimeZone UTC, not ${session.zone}.`);
}

function tenantTransaction(parts: { transaction: OpenTransaction; scope: TenantScope; actor: string }): TenantTransaction {
  const { transaction, scope, actor } = parts;
  return {
    scope,
    tenantId: scope.tenantId,
    actor,
    sql: async <Row extends object>(text: string, values?: readonly unknown[]) => {
      const result = await transaction.run(preparedStatement(text, values));
      return { rows: result.rows as Row[], rowCount: result.rowCount ?? 0 };
    },
    get prisma() {
      transaction.refuseOutside();
      return prismaWithin(transaction);
    },
    underSavepoint: transaction.underSavepoint,
  };
}

const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;
const SYSTEM_NAME = /^[a-z0-9][a-z0-9.:-]{0,79}$/;

/** The actor as the audit trail and every `..._by` column name it. */
export function actorOf(scope: Pick<TenantScope, 'kind' | 'id'>): string {
  const form = scope.kind === 'system' ? SYSTEM_NAME : UUID;
  if (!form.test(scope.id)) throw new Error(`"${scope.id}" is no id of a ${scope.kind} that acts.`);
  return `${scope.kind}:${scope.id}`;
}

function doorOf(database: Database): Door {
  const door = doors.get(database);
  if (!door) throw new Error('This database was not made by createDatabase.');
  return door;
}
