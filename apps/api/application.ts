import fastifyCookie from '@fastify/cookie';
import fastifyHelmet from '@fastify/helmet';
import fastifyRateLimit from '@fastify/rate-limit';
import { NestFactory } from '@nestjs/core';
import { FastifyAdapter, type NestFastifyApplication } from '@nestjs/platform-fastify';
import { newId } from '#runtime/ids';
import { requestIdFrom } from '#runtime/logging';
import { LogController, type FastifyInstance, type FastifyRequest } from 'fastify';
import { createHash } from 'node:crypto';
import type { IncomingMessage } from 'node:http';
import type { Readable } from 'node:stream';
import 'reflect-metadata';
import { serveConsole } from './console-files';
import { controllers } from './controllers';
import { ProblemException } from './convention/problem';
import { failureOf, sendFailure } from './convention/problem-filter';
import { measureRequests, serveMetrics } from './health/metrics';
import { ApiModule } from './module';
import { openApiDocument, routesOf } from './openapi/document';
import { serveReference } from './openapi/reference';
import { isSecure, type ApiOptions } from './options';

/** A JSON body larger than this is no form that somebody filled in; files come as uploads with limits of their own. */
const BODY_LIMIT_BYTES = 1024 * 1024;

/** Builds the HTTP application, ready to `listen`. Closing it waits for the requests under way. */
export async function createApplication(options: ApiOptions): Promise<NestFastifyApplication> {
  const adapter = new FastifyAdapter({
    loggerInstance: options.logger,
    logController: new LogController({ disableRequestLogging: true }),
    genReqId: (request: IncomingMessage) => requestIdFrom(request.headers['request-id'], newId),
    bodyLimit: BODY_LIMIT_BYTES,
    trustProxy: options.trustedProxies === 0 ? false : options.trustedProxies,
    // A connection is silent while a large file is checked: it must not be cut before the answer comes.
    connectionTimeout: 300_000,
    requestTimeout: 300_000,
    forceCloseConnections: 'idle',
    routerOptions: { maxParamLength: 100 },
  });
  const application = await NestFactory.create<NestFastifyApplication>(ApiModule.with(options), adapter, {
    logger: false,
    abortOnError: false,
    // Fastify reads JSON by itself. Forms, which other sites can send without asking, are read by nobody.
    bodyParser: false,
  });
  const fastify = adapter.getInstance<FastifyInstance>();
  await protect(fastify, options);
  acceptUploads(fastify);
  logRequests(fastify);
  measureRequests(fastify, options.metrics);
  markParts(fastify);
  await fastify.register((scope) => servePages(scope, options));
  await application.init();
  await fastify.ready();
  return application;
}

/** What is no route of Nest's: metrics, documents, the console. They share the way of refusing. */
async function servePages(scope: FastifyInstance, options: ApiOptions): Promise<void> {
  scope.setErrorHandler((exception, request, reply) => sendFailure({ failure: failureOf(exception), exception, request, reply }));
  serveMetrics(scope, { metrics: options.metrics, token: options.metricsToken });
  await serveReference(scope, () => openApiDocument(controllers));
  if (options.consoleDirectory !== null) await serveConsole(scope, options.consoleDirectory);
}

async function protect(fastify: FastifyInstance, options: ApiOptions): Promise<void> {
  await fastify.register(fastifyCookie);
  await fastify.register(fastifyHelmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        fontSrc: ["'self'"],
        imgSrc: ["'self'", 'data:', 'blob:'],
        connectSrc: ["'self'"],
        workerSrc: ["'self'"],
        manifestSrc: ["'self'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    hsts: isSecure(options),
    referrerPolicy: { policy: 'no-referrer' },
  });
  await fastify.register(fastifyRateLimit, {
    max: (request) => ({ guess: options.guessesPerMinute, costly: options.costlyPerMinute, request: options.requestsPerMinute })[limitOf(request)],
    // Each kind is counted apart, so that reading a lot does not lock somebody out of signing in.
    keyGenerator: (request) => `${limitOf(request)}:${request.ip}`,
    timeWindow: 60_000,
    // Supervisors ask often, and must not be told that a process is unwell because they did.
    allowList: (request) => request.url.startsWith('/health/'),
    errorResponseBuilder: (_request, context) =>
      new ProblemException({ code: 'too-many-requests', retryAfterSeconds: Math.ceil(context.ttl / 1000) }),
  });
  limitTokens(fastify, options);
}

/** A device that gone mad sends without end is stopped by itself, and not with whatever else is behind its address. */
function limitTokens(fastify: FastifyInstance, { reportsPerMinute }: ApiOptions): void {
  const check = fastify.createRateLimit({
    max: reportsPerMinute,
    timeWindow: 60_000,
    keyGenerator: (request) => createHash('sha256').update(request.headers.authorization ?? '').digest('base64'),
  });
  fastify.addHook('onRequest', async (request) => {
    if ((request.routeOptions.config as { byToken?: boolean } | undefined)?.byToken !== true) return;
    const found = await check(request);
    if (!found.isAllowed && found.isExceeded) throw new ProblemException({ code: 'too-many-requests', retryAfterSeconds: found.ttlInSeconds });
  });
}

function limitOf(request: FastifyRequest): 'guess' | 'costly' | 'request' {
  return (request.routeOptions.config as { limit?: 'guess' | 'costly' } | undefined)?.limit ?? 'request';
}

/** Uploads reach their handler as a stream: a file of any length takes the memory of one chunk. */
function acceptUploads(fastify: FastifyInstance): void {
  fastify.removeContentTypeParser('text/plain');
  const mediaTypes = new Set(routesOf(controllers).flatMap(({ endpoint }) => (endpoint.upload ? [endpoint.upload.mediaType] : [])));
  for (const mediaType of mediaTypes) {
    fastify.addContentTypeParser(mediaType, (_request: unknown, payload: Readable, done: (error: null, body: Readable) => void) => {
      done(null, payload);
    });
  }
}

/** What names a range of a file is a part of it (RFC 9110 section 15.3.7), whatever status its route declares. */
function markParts(fastify: FastifyInstance): void {
  fastify.addHook('onSend', async (_request, reply) => {
    if (reply.hasHeader('Content-Range')) void reply.code(206);
  });
}

/** One line per request: who and which route, never addresses with secrets, bodies or amounts. */
function logRequests(fastify: FastifyInstance): void {
  fastify.addHook('onRequest', async (request, reply) => {
    void reply.header('Request-Id', request.id);
  });
  fastify.addHook('onResponse', async (request, reply) => {
    const route = request.routeOptions.url ?? 'none';
    const line = {
      method: request.method,
      route,
      status: reply.statusCode,
      latencyMs: Math.floor(reply.elapsedTime),
      tenantId: request.caller?.tenantId,
      actor: request.caller === undefined ? request.signedIn?.accountId : `${request.caller.kind}:${request.caller.id}`,
      problem: request.problemCode,
    };
    if (route.startsWith('/health/') || route === '/metrics') request.log.debug(line, 'request');
    else request.log.info(line, 'request');
  });
}
