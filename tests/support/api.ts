import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { randomUUID } from 'node:crypto';
import { Agent } from 'node:http';
import supertest from 'supertest';
import { createApplication } from '#api/application';
import type { ApiOptions } from '#api/options';
import { createApiToken } from '#backoffice/api-token/create';
import type { Backoffice } from '#backoffice/dependencies';
import { hashPassword } from '#backoffice/identity/password';
import { newSecret } from '#backoffice/identity/secret';
import { csrfValue } from '#backoffice/identity/session';
import { withoutTenant, type TenantTransaction } from '#database/tenant';
import { roles, type Actor, type Role, type Scope } from '#domain/permissions/role';
import { fixedClock, type FixedClock } from '#runtime/clock';
import { newId } from '#runtime/ids';
import { createLogger } from '#runtime/logging';
import { createMetrics } from '#runtime/metrics';
import { keyedDigestsUnder } from '#runtime/keyed-digest';
import { outgoing } from '#runtime/outgoing-post';
import { operatorSecretsUnder } from '#runtime/operator-secrets';
import { accountSecretsUnder } from '#api/account-secrets';
import { asTenant, createTenant, createTestDatabase, type TestDatabase } from './database';
import { doWaitingWork, testMasterKey, workDeps } from './work';

/** The instant at which a test's clock stands until the test moves it. */
export const TEST_NOW = '2026-03-31T12:00:00Z';
export const TEST_PASSWORD = 'seven blue lanterns 41';

/** Sends requests as one user or token. A POST carries a new Idempotency-Key unless the test sets one. */
export type TestClient = {
  readonly id: string;
  readonly email: string;
  readonly get: (path: string) => supertest.Test;
  readonly post: (path: string, body?: object) => supertest.Test;
  readonly put: (path: string, body?: object) => supertest.Test;
  readonly patch: (path: string, body?: object) => supertest.Test;
  readonly delete: (path: string) => supertest.Test;
  /** Any method, for tests that walk over routes. */
  readonly send: (method: string, path: string, body?: object) => supertest.Test;
  /** Role and scopes as the permission table is asked about them. */
  readonly actor: Actor;
};

export type TestOperator = {
  readonly tenantId: string;
  readonly code: string;
  /** The site that the operator's site manager is bound to. It exists once a test creates it under this id. */
  readonly siteId: string;
  readonly as: (role: Role) => TestClient;
  /** One more user with this role, for a test that changes or removes it. */
  readonly newMember: (role: Exclude<Role, 'site-manager'>) => Promise<TestClient>;
  readonly withToken: (token: { role: Exclude<Role, 'site-manager'>; scopes: Scope[]; madeBy?: TestClient }) => Promise<TestClient>;
  /** Does the operator's waiting background work, in this process. */
  readonly work: () => Promise<number>;
  /** Runs work as one transaction of this operator, for what no route does. */
  readonly inBooks: <Value>(work: (tx: TenantTransaction) => Promise<Value>) => Promise<Value>;
};

export type TestApi = {
  readonly db: TestDatabase;
  readonly backoffice: Backoffice;
  readonly clock: FixedClock;
  readonly application: NestFastifyApplication;
  readonly url: string;
  /** Of the password of every user. */
  readonly passwordHash: string;
  /** Two operators with a user of every role each: the test's own, and one that must stay unseen. */
  readonly operator: TestOperator;
  readonly other: TestOperator;
  /** Sends requests without any credentials. */
  readonly anonymous: ReturnType<typeof supertest>;
  readonly close: () => Promise<void>;
};

export type TestApiOptions = Partial<Omit<ApiOptions, 'backoffice'>> & {
  readonly now?: string | Date;
  /** A browser goes by its own clock, for cookies and for what it says of the present: a test with one has a clock that goes on beside it. */
  readonly clock?: FixedClock;
  /** A database of one's own, where no run of tests has made a template. */
  readonly db?: TestDatabase;
  /** Known beforehand where `publicOrigin` has to name it. */
  readonly port?: number;
};

/** Starts the API in this process on a database of its own, listening on a free port of 127.0.0.1. */
export async function startTestApi({ now = TEST_NOW, clock = fixedClock(now), port = 0, db: given, ...options }: TestApiOptions = {}): Promise<TestApi> {
  const db = given ?? (await createTestDatabase({ poolSize: 8 }));
  const backoffice: Backoffice = {
    database: db.database,
    clock,
    newId,
    publicUrl: 'http://127.0.0.1',
    accountSecrets: accountSecretsUnder([testMasterKey]),
    operatorSecrets: operatorSecretsUnder([testMasterKey]),
  };
  const application = await createApplication({
    backoffice,
    logger: createLogger({ name: 'test', level: 'silent' }),
    digestsOf: keyedDigestsUnder([testMasterKey]),
    publicOrigin: 'http://127.0.0.1',
    trustedProxies: 0,
    consoleDirectory: null,
    metrics: createMetrics({ name: 'api' }),
    metricsToken: null,
    isReady: async () => true,
    requestsPerMinute: 1_000_000,
    guessesPerMinute: 1_000_000,
    costlyPerMinute: 1_000_000,
    whyUnreachable: outgoing({ allowed: [] }).whyUnreachable,
    reportsPerMinute: 1_000_000,
    ...options,
  });
  await application.listen(port, '127.0.0.1');
  const url = await application.getUrl();
  const passwordHash = await hashPassword(TEST_PASSWORD);
  const context = { db, backoffice, clock, url, passwordHash };
  const close = async (): Promise<void> => {
    // Who is refused before all is sent may stop sending: the server would wait a minute for the rest.
    connections.destroy();
    await application.close();
    await db.drop();
  };
  return { ...context, application, ...(await createOperators(context)), anonymous: supertest(url), close };
}

/**
 * One API for all tests of a file, for tests that need books of their own but no more than that: starting one takes longer than most
 * of them. What this gives is called before each test. It makes two new operators and sets the clock; what earlier tests
 * wrote is still there, in the books of theirs.
 */
export function apiForAllTests({ now }: { readonly now: string }): (time?: { readonly now: string }) => Promise<TestApi> {
  let started: TestApi;
  beforeAll(async () => {
    started = await startTestApi({ now });
  });
  afterAll(() => started?.close());
  return async (time = { now }) => {
    started.clock.set(new Date(time.now));
    return { ...started, ...(await createOperators(started)) };
  };
}

type Context = { db: TestDatabase; backoffice: Backoffice; clock: FixedClock; url: string; passwordHash: string };

const createOperators = async (context: Context): Promise<Pick<TestApi, 'operator' | 'other'>> => ({
  operator: await createOperator(context),
  other: await createOperator(context),
});

async function createOperator(context: Context): Promise<TestOperator> {
  const tenantId = await createTenant(context.db);
  const code = `test-${tenantId.slice(0, 8)}`;
  const siteId = randomUUID();
  const members = roles.map((role) => ({ role, siteIds: role === 'site-manager' ? [siteId] : [] }));
  const people = new Map(await createUsers(context, { tenantId, members }));
  return {
    tenantId,
    code,
    siteId,
    as: (role) => {
      const person = people.get(role);
      if (person === undefined) throw new Error(`there is no ${role}`);
      return person;
    },
    newMember: (role) => createUser(context, { tenantId, role, siteIds: [] }),
    work: () => doWaitingWork(workDeps(context.backoffice), tenantId),
    inBooks: (work) => asTenant(context.db, tenantId, work),
    withToken: async ({ role, scopes, madeBy }) => {
      const expiresAt = new Date(context.clock.now().getTime() + 86_400_000).toISOString();
      const maker = madeBy?.actor ?? ({ kind: 'system', id: 'test', tenantId } as const);
      const made = await createApiToken(context.backoffice, maker, { name: `${role} token`, role, scopes, expiresAt });
      if (!made.ok) throw new Error(made.failure.code);
      return client(context.url, {
        actor: { kind: 'token', id: made.value.id, tenantId, role, scopes },
        email: '',
        headers: { Authorization: `Bearer ${made.value.secret ?? ''}` },
      });
    },
  };
}

type UserContext = Pick<Context, 'db' | 'clock' | 'url' | 'passwordHash'>;
type NewMember = { readonly role: Role; readonly siteIds: readonly string[] };

/** An account with a membership and an open session. */
export async function createUser(context: UserContext, { tenantId, ...member }: { tenantId: string } & NewMember): Promise<TestClient> {
  const [created] = await createUsers(context, { tenantId, members: [member] });
  if (created === undefined) throw new Error('nobody was created');
  return created[1];
}

/** The same for several people, by the way that people take: invited, accepted, signed in. All at once, as every test needs them. */
async function createUsers(context: UserContext, { tenantId, members }: { tenantId: string; members: readonly NewMember[] }): Promise<[Role, TestClient][]> {
  const now = context.clock.now();
  const until = new Date(now.getTime() + 86_400_000);
  const people = members.map((member) => {
    const id = newId();
    return { ...member, id, email: `${member.role}.${id.slice(-12)}@operator.example`, link: newSecret(), session: newSecret() };
  });
  await asTenant(context.db, tenantId, async (tx) => {
    for (const { role, siteIds, email, link } of people) {
      await tx.sql('SELECT identity.create_invitation($1, $2, $3, $4, NULL, $5, $6, $7)', [newId(), link.hash, email, role, siteIds, now, until]);
    }
  });
  await withoutTenant(context.db.database, { kind: 'system', id: 'test' }, async (call) => {
    for (const { role, id, link, session } of people) {
      await call('identity.accept_invitation', link.hash, id, `The ${role}`, context.passwordHash, now);
      await call('identity.open_session', newId(), session.hash, id, '127.0.0.1', 'test', now, new Date(now.getTime() + 7 * 86_400_000));
    }
  });
  return people.map(({ role, siteIds, id, email, session }) => [
    role,
    client(context.url, {
      actor: { kind: 'user', id, tenantId, role, siteIds: [...siteIds], personId: null },
      email,
      headers: {
        Cookie: `latchledger-session=${session.text}`,
        'Latchledger-Csrf': csrfValue(session.text),
        'Latchledger-Operator': tenantId,
      },
    }),
  ]);
}

/**
 * Connections that serve one request after the other: opening one for each took a third of what a refused request takes. An idle
 * one is closed here long before the server would close it after 72 seconds, so that no request meets one that is just going.
 */
const connections = new Agent({ keepAlive: true, timeout: 30_000 });

function client(url: string, who: { actor: Actor; email: string; headers: { [name: string]: string } }): TestClient {
  const send = (method: string, path: string, body?: object): supertest.Test => {
    const agent = supertest(url);
    const verb = method.toLowerCase() as 'get' | 'post' | 'put' | 'patch' | 'delete';
    const test = agent[verb](path).agent(connections).set(who.headers);
    if (verb === 'post') void test.set('Idempotency-Key', randomUUID());
    return body === undefined ? test : test.send(body);
  };
  return {
    id: who.actor.id,
    actor: who.actor,
    email: who.email,
    send,
    get: (path) => send('get', path),
    post: (path, body) => send('post', path, body),
    put: (path, body) => send('put', path, body),
    patch: (path, body) => send('patch', path, body),
    delete: (path) => send('delete', path),
  };
}
