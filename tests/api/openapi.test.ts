import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { controllers } from '#api/controllers';
import { openApiDocument, routesOf } from '#api/openapi/document';
import { problems } from '#contracts/problem';
import { startTestApi, type TestApi } from '#tests/support/api';

type Schema = { $ref?: string; [key: string]: unknown };
type Operation = {
  operationId: string;
  summary: string;
  'x-action': string;
  parameters: { name: string; in: string; required: boolean; schema: Schema }[];
  requestBody?: { content: { [type: string]: { schema: Schema } } };
  responses: { [status: string]: { content?: { [type: string]: { schema: Schema } } } };
};
type Document = { openapi: string; paths: { [path: string]: { [method: string]: Operation } }; components: { schemas: { [name: string]: Schema } }; info: { description: string } };

const document = openApiDocument(controllers) as unknown as Document;
const operations = Object.entries(document.paths).flatMap(([path, methods]) =>
  Object.entries(methods).map(([method, operation]) => ({ key: `${method.toUpperCase()} ${path}`, method, path, operation })),
);

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi();
});
afterAll(() => api?.close());

test('the committed document is what the program serves: a difference is a decision, made with `npm run openapi`', async () => {
  const committed = JSON.parse(readFileSync(join(__dirname, '..', '..', 'apps', 'api', 'openapi.json'), 'utf8')) as unknown;
  expect(JSON.parse(JSON.stringify(document))).toEqual(committed);
  expect((await api.anonymous.get('/openapi.json').expect(200)).body).toEqual(committed);
});

test('it is OpenAPI 3.1 with unique operation ids and no reference that leads nowhere', () => {
  expect(document.openapi).toBe('3.1.0');
  const ids = operations.map(({ operation }) => operation.operationId);
  expect(ids.filter((id, index) => ids.indexOf(id) !== index)).toEqual([]);
  const references = [...JSON.stringify(document).matchAll(/"\$ref":"([^"]+)"/g)].map(([, reference]) => reference ?? '');
  const names = references.map((reference) => /^#\/components\/schemas\/(\w+)$/.exec(reference)?.[1] ?? `not a component: ${reference}`);
  expect([...new Set(names)].filter((name) => !(name in document.components.schemas))).toEqual([]);
});

test('every parameter of a path is declared, and every problem that a route names is of the table', () => {
  for (const { key, path, operation } of operations) {
    const inPath = [...path.matchAll(/\{(\w+)\}/g)].map(([, name]) => name);
    expect([key, operation.parameters.filter((parameter) => parameter.in === 'path').map(({ name }) => name)]).toEqual([key, inPath]);
  }
  const named = routesOf(controllers).flatMap(({ endpoint }) => endpoint.problems ?? []);
  expect(named.filter((code) => !(code in problems))).toEqual([]);
  for (const code of Object.keys(problems)) expect(document.info.description).toContain(`\`${code}\``);
});

test('every POST of an operator that makes or moves something takes an Idempotency-Key, every change of a revision an If-Match', () => {
  // A question with a body makes nothing, and an upload waits for somebody to accept it.
  const harmless = (key: string, action: string): boolean => /\.(read|preview)$/.test(action) || ['POST /v1/imports', 'POST /v1/audit-files', 'POST /v1/agreements/terms/check'].includes(key);
  const without = operations.filter(
    ({ key, method, operation }) =>
      method === 'post' &&
      !['public', 'account'].includes(operation['x-action']) &&
      !harmless(key, operation['x-action']) &&
      !operation.parameters.some(({ name, required }) => name === 'Idempotency-Key' && required),
  );
  expect(without.map(({ key }) => key)).toEqual([]);
  const changes = operations.filter(({ method, operation }) => ['put', 'patch'].includes(method) && !operation.parameters.some(({ name }) => name === 'If-Match'));
  expect(changes.map(({ key }) => key)).toEqual([]);
});

test('no amount is a number: wherever money stands, it is the Money component', () => {
  const money = document.components.schemas['Money'];
  if (money !== undefined) expect(money).toMatchObject({ properties: { amount: { type: 'string' } } });
  const text = JSON.stringify(document);
  expect([...text.matchAll(/"(\w*(?:amount|total|takings)\w*)":\{[^{}]*"type":"(?:number|integer)"/gi)].map(([, name]) => name)).toEqual([]);
});

test('the reference page and its scripts come from here, and the problem codes have a page of their own', async () => {
  const page = await api.anonymous.get('/reference').expect(200);
  const files = [...page.text.matchAll(/(?:src|href)="([^"]+)"/g)].map(([, file]) => file ?? '');
  expect(files.length).toBe(3);
  for (const file of files) {
    expect(file).toMatch(/^\/reference\//);
    await api.anonymous.get(file).expect(200);
    await api.anonymous.get(file).set('Range', 'bytes=999999999-').expect(200);
  }
  await api.anonymous.get('/reference/assets/package.json').expect(404);
  expect(page.headers['content-security-policy']).not.toMatch(/https?:|\*/);
  const codes = await api.anonymous.get('/reference/problems').expect(200);
  for (const code of Object.keys(problems)) expect(codes.text).toContain(`id="${code}"`);
});
