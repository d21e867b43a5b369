import { RequestMethod, type Type } from '@nestjs/common';
import { METHOD_METADATA, PATH_METADATA } from '@nestjs/common/constants';
import { problems, problemSchema, type ProblemCode } from '#contracts/problem';
import { z } from 'zod';
import { endpointOf, type EndpointDeclaration } from '../convention/endpoint';
import { webhookRequests } from './webhooks';

type Json = { [key: string]: unknown };

/** One route of the program: what Nest calls, how, and what it declares about itself. */
export type Route = {
  controller: Type<object>;
  handler: string;
  /** Lower case, as OpenAPI writes it. */
  method: string;
  /** With parameters in braces: `/v1/sites/{id}`. */
  path: string;
  endpoint: EndpointDeclaration;
};

/** All routes of the given controllers, in the order of their source. A route that declares nothing is a bug. */
export function routesOf(controllers: readonly Type<object>[]): Route[] {
  return controllers.flatMap((controller) => {
    const prefix = Reflect.getMetadata(PATH_METADATA, controller) as string;
    const prototype = controller.prototype as { [name: string]: unknown };
    return Object.getOwnPropertyNames(prototype).flatMap((handler) => {
      const target = prototype[handler];
      if (typeof target !== 'function' || handler === 'constructor') return [];
      const method = Reflect.getMetadata(METHOD_METADATA, target) as RequestMethod | undefined;
      if (method === undefined) return [];
      const endpoint = endpointOf(target);
      if (endpoint === undefined) throw new Error(`${controller.name}.${handler} declares no endpoint`);
      const tail = Reflect.getMetadata(PATH_METADATA, target) as string;
      const path = `/${prefix}/${tail}`.replace(/\/+/g, '/').replace(/(.)\/$/, '$1').replace(/:(\w+)/g, '{$1}');
      return [{ controller, handler, method: (RequestMethod[method] ?? 'GET').toLowerCase(), path, endpoint }];
    });
  });
}

/**
 * The OpenAPI 3.1 document. Schemas are JSON Schema 2020-12 as zod writes them, which is what 3.1 embeds; a schema with
 * `.meta({ id })` becomes a component of that name, and one name stands for one schema.
 */
export function openApiDocument(controllers: readonly Type<object>[]): Json {
  const components: Json = {};
  const toSchema = schemaWriter(components);
  const paths: { [path: string]: Json } = {};
  toSchema(problemSchema, 'output');
  const webhooks = webhookRequests(toSchema);
  for (const route of routesOf(controllers)) {
    if (!route.path.startsWith('/v1/')) continue;
    const methods = (paths[route.path] ??= {});
    methods[route.method] = operation(route, toSchema);
  }
  return {
    openapi: '3.1.0',
    info: { title: 'Latchledger', version: '1', description: description() },
    servers: [{ url: '/' }],
    security: [{ session: [] }, { token: [] }],
    tags: [...new Set(routesOf(controllers).filter((route) => route.path.startsWith('/v1/')).map(tagOf))].map((name) => ({ name })),
    paths,
    webhooks,
    components: {
      schemas: Object.fromEntries(Object.entries(components).sort(([a], [b]) => (a < b ? -1 : 1))),
      securitySchemes: {
        session: { type: 'apiKey', in: 'cookie', name: 'latchledger-session', description: 'Set by sign-in. Over https its name begins with __Host-.' },
        token: { type: 'http', scheme: 'bearer', description: 'An API token of one operator.' },
      },
    },
  };
}

type SchemaWriter = (schema: z.ZodType, io: 'input' | 'output') => Json;

function schemaWriter(components: Json): SchemaWriter {
  return (schema, io) => {
    const written = z.toJSONSchema(schema, { io, target: 'draft-2020-12', override: ({ jsonSchema }) => void delete jsonSchema.id }) as Json;
    for (const [name, definition] of Object.entries((written['$defs'] ?? {}) as Json)) {
      const relinked = relink(definition) as Json;
      if (components[name] !== undefined && JSON.stringify(components[name]) !== JSON.stringify(relinked)) {
        throw new Error(`two schemas are called ${name}, or one is written differently in requests and answers`);
      }
      components[name] = relinked;
    }
    return relink(written) as Json;
  };
}

/** JSON Schema keeps shared parts under `$defs`, OpenAPI under its components. */
function relink(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(relink);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(
    Object.entries(value)
      .filter(([key]) => key !== '$defs' && key !== '$schema')
      .map(([key, inner]) => [
        key,
        key === '$ref' && typeof inner === 'string' ? inner.replace('#/$defs/', '#/components/schemas/') : relink(inner),
      ]),
  );
}

function operation(route: Route, toSchema: SchemaWriter): Json {
  const { endpoint, handler, controller } = route;
  const status = String(endpoint.status ?? 200);
  return {
    operationId: operationIdOf(handler, controller.name.replace(/Controller$/, '')),
    tags: [tagOf(route)],
    summary: endpoint.summary,
    ...(endpoint.description === undefined ? {} : { description: endpoint.description }),
    ...(endpoint.access === 'public' ? { security: [] } : {}),
    'x-action': endpoint.access,
    parameters: parameters(endpoint, toSchema),
    ...requestBody(endpoint, toSchema),
    responses: {
      [status]: answer(endpoint, toSchema),
      ...Object.fromEntries([...problemsByStatus(endpoint)].map(([code, codes]) => [code, problemAnswer(codes)])),
    },
  };
}

/** `list` of SiteController is listSite; a handler that names its thing itself keeps its name. */
function operationIdOf(handler: string, noun: string): string {
  return /[A-Z]/.test(handler) ? handler : `${handler}${noun}`;
}

function tagOf(route: Route): string {
  return route.path.split('/')[2] ?? '';
}

function parameters(endpoint: EndpointDeclaration, toSchema: SchemaWriter): Json[] {
  const header = (name: string, text: string, required: boolean, schema: Json) => ({ name, in: 'header', required, description: text, schema });
  const list: Json[] = [];
  for (const [place, schema] of [['path', endpoint.params], ['query', endpoint.query]] as const) {
    if (schema === undefined) continue;
    const written = toSchema(schema, 'input') as { properties?: { [name: string]: Json }; required?: string[] };
    for (const [name, property] of Object.entries(written.properties ?? {})) {
      const { description: text, ...rest } = property;
      list.push({ name, in: place, required: place === 'path' || (written.required ?? []).includes(name), ...(text === undefined ? {} : { description: text }), schema: rest });
    }
  }
  if (endpoint.access !== 'public' && endpoint.access !== 'account') {
    list.push(header('Latchledger-Operator', 'Id or code of the operator. May be left out by tokens and by users of one operator.', false, { type: 'string' }));
  }
  if (endpoint.once) list.push(header('Idempotency-Key', 'A new random value per new thing; the same value repeats a request.', true, { type: 'string', minLength: 1, maxLength: 200 }));
  if (endpoint.spoken) list.push(header('Accept-Language', 'In which language its sentences are: English, German or Spanish, with a region for figures and days. As the operator is used to when left out.', false, { type: 'string' }));
  if (endpoint.revision === 'needed') list.push(header('If-Match', 'ETag of the thing as you read it.', true, { type: 'string' }));
  return list;
}

function requestBody(endpoint: EndpointDeclaration, toSchema: SchemaWriter): Json {
  if (endpoint.upload) {
    return { requestBody: { required: true, content: { [endpoint.upload.mediaType]: { schema: { type: 'string', format: 'binary' } } } } };
  }
  if (endpoint.body === undefined) return {};
  return { requestBody: { required: true, content: { 'application/json': { schema: toSchema(endpoint.body, 'input') } } } };
}

function answer(endpoint: EndpointDeclaration, toSchema: SchemaWriter): Json {
  const headers = {
    ...(endpoint.revision === undefined ? {} : { ETag: { description: 'The revision in quotes.', schema: { type: 'string' } } }),
    ...(endpoint.once ? { 'Idempotency-Replayed': { description: '`true` if this is the answer to an earlier request.', schema: { type: 'string' } } } : {}),
  };
  const content =
    endpoint.file !== undefined
      ? { content: { [endpoint.file]: { schema: { type: 'string', format: 'binary' } } } }
      : endpoint.answer !== undefined
        ? { content: { 'application/json': { schema: toSchema(endpoint.answer, 'output') } } }
        : {};
  return { description: 'Done.', ...(Object.keys(headers).length === 0 ? {} : { headers }), ...content };
}

/** Problems that follow from the declaration, and those it adds, by status. */
function problemsByStatus(endpoint: EndpointDeclaration): Map<string, ProblemCode[]> {
  const codes: ProblemCode[] = ['too-many-requests', 'unexpected', ...(endpoint.problems ?? [])];
  if (endpoint.query ?? endpoint.body) codes.push('invalid-request');
  if (endpoint.params) codes.push('not-found');
  if (endpoint.access !== 'public') codes.push('not-signed-in', 'cross-site-request');
  if (endpoint.access !== 'public' && endpoint.access !== 'account') codes.push('operator-missing', 'not-allowed', 'scope-missing', 'second-factor-needed');
  if (endpoint.once) codes.push('idempotency-key-missing', 'idempotency-key-reused', 'request-in-flight');
  if (endpoint.revision === 'needed') codes.push('version-missing', 'changed-meanwhile');
  const byStatus = new Map<string, ProblemCode[]>();
  for (const code of [...new Set(codes)].sort((a, b) => problems[a].status - problems[b].status)) {
    const status = String(problems[code].status);
    byStatus.set(status, [...(byStatus.get(status) ?? []), code]);
  }
  return byStatus;
}

function problemAnswer(codes: readonly ProblemCode[]): Json {
  return {
    description: codes.map((code) => `\`${code}\`: ${problems[code].title}.`).join(' '),
    content: { 'application/problem+json': { schema: { $ref: '#/components/schemas/Problem' } } },
  };
}

function description(): string {
  const rows = Object.entries(problems).map(([code, { status, title, advice }]) => `| \`${code}\` | ${status} | ${title}. | ${advice} |`);
  return [
    'Amounts are `{ "amount": "123.45", "currency": "USD" }` with exactly the digits of the currency. Instants are RFC 3339, days ISO 8601.',
    'Lists come in pages: send `next` of one page as `cursor` to get the following one.',
    'A request that creates or moves something takes an `Idempotency-Key`, kept for 30 days: repeating it with the same key and body answers what the first one answered, marked by `Idempotency-Replayed: true`.',
    'What two people may edit carries an `ETag`; a change names it in `If-Match`.',
    'With a session cookie, every request that changes something carries the `Latchledger-Csrf` header with the value that `GET /v1/account` gives.',
    '',
    '### Problems',
    'Refused requests answer with a problem document (RFC 9457).',
    '',
    '| code | status | what it says | what to do |',
    '| --- | --- | --- | --- |',
    ...rows,
  ].join('\n');
}
