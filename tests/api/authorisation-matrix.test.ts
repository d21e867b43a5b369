import type { Response } from 'supertest';
import { denial } from '#domain/permissions/can';
import { roles, scopes, type Actor, type Role, type Scope } from '#domain/permissions/role';
import { permissions, type Action, type Row } from '#domain/permissions/table';
import { startTestApi, type TestApi, type TestClient, type TestOperator } from '#tests/support/api';
import { idsIn, readSamples, replaceIds, unknownId, type SampleRequest, type Samples } from '#tests/support/samples';
import { controllers } from '#api/controllers';
import { openApiDocument } from '#api/openapi/document';

// Every cell of role x route x state, asked of the running API. Routes come from the OpenAPI document, so a new one is in
// here as soon as it exists; what it needs to succeed comes from tests/api/samples.

type Operation = { 'x-action': Action | 'public' | 'account'; requestBody?: { content: { [mediaType: string]: object } }; parameters: { in: string }[] };
type Route = { key: string; method: string; path: string; operation: Operation };

const document = openApiDocument(controllers) as { paths: { [path: string]: { [method: string]: Operation } } };
const routes: Route[] = Object.entries(document.paths).flatMap(([path, methods]) =>
  Object.entries(methods).map(([method, operation]) => ({ key: `${method.toUpperCase()} ${path}`, method, path, operation })),
);
const routesOfOperators = routes.filter((route) => route.operation['x-action'] in permissions);
const elsewhere = '0195e000-0000-7000-8000-00000000e15e';

let api: TestApi;
let samples: Samples;
/** One token of an owner for each scope. */
let tokens: readonly (readonly [Scope, TestClient])[];
beforeAll(async () => {
  samples = await readSamples();
  api = await startTestApi();
  tokens = await Promise.all(scopes.map(async (scope) => [scope, await api.operator.withToken({ role: 'owner', scopes: [scope] })] as const));
});
afterAll(() => api?.close());

const actionOf = (route: Route) => route.operation['x-action'] as Action;
const rowOf = (route: Route): Row => permissions[actionOf(route)];
const needsSample = ({ path, operation }: Route) => path.includes('{') || operation.requestBody !== undefined;
const isRead = (route: Route) => route.method === 'get';

const titled = (list: readonly Route[]) => list.map((route) => [route.key, route] as const);

/** Sends the request as that client; what a sample leaves out is left out. */
function ask(client: Pick<TestClient, 'send'>, route: Route, request: SampleRequest) {
  const path = route.path.replace(/\{(\w+)\}/g, (_all, name: string) => request.params?.[name] ?? unknownId());
  const query = new URLSearchParams({ ...request.query }).toString();
  const test = client.send(route.method, query === '' ? path : `${path}?${query}`, undefined);
  if (request.revision !== undefined) void test.set('If-Match', `"${request.revision}"`);
  const upload = Object.keys(route.operation.requestBody?.content ?? {}).find((mediaType) => mediaType !== 'application/json');
  if (upload !== undefined) return test.set('Content-Type', upload).send((request.body as { text?: string } | undefined)?.text ?? '');
  return request.body === undefined ? test : test.send(request.body);
}

async function prepared(route: Route, place: { operator: TestOperator; siteId?: string; state?: string | undefined }): Promise<SampleRequest> {
  const sample = samples[route.key];
  if (sample === undefined) {
    if (needsSample(route)) throw new Error(`${route.key} needs a sample: add it to a file of tests/api/samples`);
    return {};
  }
  return sample.prepare({ operator: place.operator, siteId: place.siteId ?? place.operator.siteId, state: place.state });
}

const statesOf = (route: Route): readonly (string | undefined)[] => samples[route.key]?.states ?? [undefined];

/** What the table says must come back; `allowed`: anything but a refusal of the person. */
function expectation(actor: Actor, action: Action, subject: { state?: string; siteId?: string }): 'allowed' | { status: number; code: string } {
  switch (denial(actor, action, subject)) {
    case null:
      return 'allowed';
    case 'role':
      return { status: 403, code: 'not-allowed' };
    case 'scope':
      return { status: 403, code: 'scope-missing' };
    case 'state':
      return { status: 403, code: 'not-allowed-in-state' };
    case 'unseen':
      return { status: 404, code: 'not-found' };
  }
}

const said = (answer: Response) => ({ status: answer.status, code: answer.status < 400 ? undefined : (answer.body as { code?: string }).code });
// 503 is an answer, too: come back when it is made. 500 never is one.
const isAllowed = ({ status }: Response) => ![401, 403, 404, 500].includes(status);
/** The whole answer but for what no two requests share. */
const whole = (answer: Response): unknown => ({ status: answer.status, body: { ...(answer.body as object), requestId: '' } });

test('every route says which action it is', () => {
  const known = new Set<string>([...Object.keys(permissions), 'public', 'account']);
  expect(routes.filter(({ operation }) => !known.has(operation['x-action'])).map(({ key }) => key)).toEqual([]);
  expect(routes.length).toBeGreaterThan(20);
});

test('every sample belongs to a route', () => {
  expect(Object.keys(samples).filter((key) => !routes.some((route) => route.key === key))).toEqual([]);
});

test('every state that the table names can be reached by a sample of that action', () => {
  const reached = new Map<string, Set<string>>();
  for (const route of routesOfOperators) {
    const states = statesOf(route).filter((state) => state !== undefined);
    reached.set(actionOf(route), new Set([...(reached.get(actionOf(route)) ?? []), ...states]));
  }
  const missing = routesOfOperators.flatMap((route) =>
    Object.values(rowOf(route).grants)
      .flatMap((grant) => (grant.states === 'every' ? [] : grant.states))
      .filter((state) => reached.get(actionOf(route))?.has(state) !== true)
      .map((state) => `${actionOf(route)} in ${state}`),
  );
  expect([...new Set(missing)]).toEqual([]);
});

describe.each(titled(routesOfOperators))('%s', (_key, route) => {
  /** What is refused changes nothing, so one request serves all that are to be refused. */
  const refused = new Map<string | undefined, Promise<SampleRequest>>();
  const requestIn = (state: string | undefined): Promise<SampleRequest> => {
    const known = refused.get(state) ?? prepared(route, { operator: api.operator, state });
    refused.set(state, known);
    return known;
  };
  /** What is let through may change its thing: it gets one of its own. */
  const requestFor = (isAllowedThrough: boolean, state: string | undefined): Promise<SampleRequest> =>
    isAllowedThrough && !isRead(route) ? prepared(route, { operator: api.operator, state }) : requestIn(state);

  test('each role in each state is let through or refused as the table says', async () => {
    const wrong: string[] = [];
    for (const state of statesOf(route)) {
      for (const role of roles) {
        const client = api.operator.as(role);
        const expected = expectation(client.actor, actionOf(route), subjectOf(state, api.operator.siteId));
        const answer = await ask(client, route, await requestFor(expected === 'allowed', state));
        if (expected === 'allowed' ? !isAllowed(answer) : !sameAnswer(said(answer), expected)) wrong.push(line({ role, state, answer }));
      }
    }
    expect(wrong).toEqual([]);
  });

  test('each scope of a token is let through or refused as the table says', async () => {
    const [state] = statesOf(route);
    const wrong: string[] = [];
    for (const [scope, token] of tokens) {
      const expected = expectation(token.actor, actionOf(route), {});
      const answer = await ask(token, route, await requestFor(expected === 'allowed', state));
      const isRight = expected === 'allowed' ? said(answer).code !== 'scope-missing' && answer.status !== 401 : sameAnswer(said(answer), expected);
      if (!isRight) wrong.push(`${scope}: ${JSON.stringify(said(answer))}`);
    }
    expect(wrong).toEqual([]);
  });

  test('nobody gets in without signing in', async () => {
    const anonymous = { send: (method: string, path: string) => api.anonymous[method as 'get'](path) };
    expect(said(await ask(anonymous, route, await requestIn(statesOf(route)[0])))).toEqual({ status: 401, code: 'not-signed-in' });
  });

  test('a user of another operator is let in nowhere, whatever the header says', async () => {
    const stranger = api.other.as('owner');
    const crossing = { send: (method: string, path: string) => stranger.send(method, path).set('Latchledger-Operator', api.operator.code) };
    expect(said(await ask(crossing, route, await requestIn(statesOf(route)[0])))).toEqual({ status: 404, code: 'not-found' });
  });
});

describe("another operator's id is answered exactly like one that nobody has", () => {
  test.each(titled(routesOfOperators.filter(needsSample)))('%s', async (_key, route) => {
    const owner = api.operator.as('owner');
    let real: SampleRequest | undefined;
    for (const state of statesOf(route)) {
      const mine = await prepared(route, { operator: api.operator, state });
      const theirs = await prepared(route, { operator: api.other, state });
      real ??= theirs;
      // A place in the operator's own log is no id: everybody's begins at 0.
      if (theirs.params !== undefined && route.path !== '/v1/evidence/leaves/{index}') {
        const foreign = await ask(owner, route, { ...mine, params: theirs.params });
        const unknown = await ask(owner, route, { ...mine, params: mapValues(theirs.params, unknownId) });
        expect(whole(foreign)).toEqual(whole(unknown));
        expect(foreign.status).toBe(404);
      }
      const foreignIds = idsIn(theirs.body);
      for (const path of idsIn(mine.body).keys()) {
        const other = foreignIds.get(path);
        if (other === undefined) throw new Error(`the samples of ${route.key} differ in their shape at ${path}`);
        // Two requests that differ in nothing but whose id it is. A new thing may carry an id that another operator uses,
        // and then exists under both, each in its own books.
        const foreign = await ask(owner, route, withId(await prepared(route, { operator: api.operator, state }), path, other));
        const unknown = await ask(owner, route, withId(await prepared(route, { operator: api.operator, state }), path, unknownId()));
        expect([path, said(foreign)]).toEqual([path, said(unknown)]);
      }
    }
    // What was refused above is real: to them the same request does something.
    if (real === undefined) throw new Error(`${route.key} has no state`);
    expect(isAllowed(await ask(api.other.as('owner'), route, real))).toBe(true);
  });
});

describe('a thing at a site that is not the manager’s own looks unknown to them', () => {
  const bound = routesOfOperators.filter((route) => rowOf(route).grants['site-manager']?.sites === 'own' && route.path.includes('{'));
  test.each(titled(bound))('%s', async (_key, route) => {
    const manager = api.operator.as('site-manager');
    for (const state of statesOf(route)) {
      const request = await prepared(route, { operator: api.operator, siteId: elsewhere, state });
      const there = await ask(manager, route, request);
      const unknown = await ask(manager, route, { ...request, params: mapValues(request.params ?? {}, unknownId) });
      expect(whole(there)).toEqual(whole(unknown));
      expect(there.status).toBe(404);
    }
  });
});

describe.each(titled(routes.filter(({ operation }) => operation['x-action'] === 'account')))('%s', (_key, route) => {
  test('needs a session: neither strangers nor tokens get in', async () => {
    const anonymous = { send: (method: string, path: string) => api.anonymous[method as 'get'](path) };
    expect(said(await ask(anonymous, route, { body: {} }))).toEqual({ status: 401, code: 'not-signed-in' });
    const token = await api.operator.withToken({ role: 'owner', scopes: [...scopes] });
    expect(said(await ask(token, route, { body: {} }))).toEqual({ status: 401, code: 'not-signed-in' });
  });
});

function subjectOf(state: string | undefined, siteId: string): { state?: string; siteId: string } {
  return { siteId, ...(state === undefined ? {} : { state }) };
}

function sameAnswer(left: { status: number; code: string | undefined }, right: { status: number; code: string }): boolean {
  return left.status === right.status && left.code === right.code;
}

function line(cell: { role: Role; state: string | undefined; answer: Response }): string {
  return `${cell.role}${cell.state === undefined ? '' : ` in ${cell.state}`}: ${JSON.stringify(cell.answer.body)} (${cell.answer.status})`;
}

function withId(request: SampleRequest, path: string, id: string): SampleRequest {
  const present = idsIn(request.body);
  return { ...request, body: replaceIds(request.body, (at) => (at === path ? id : (present.get(at) ?? ''))) as object };
}

function mapValues(record: { readonly [name: string]: string }, value: () => string): { [name: string]: string } {
  return Object.fromEntries(Object.keys(record).map((name) => [name, value()]));
}
