import type { Metrics } from '#runtime/metrics';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { createHash, timingSafeEqual } from 'node:crypto';
import { Counter } from 'prom-client';
import { sendFailure } from '../convention/problem-filter';

/** Counts every request by route and status, and refusals by code. */
export function measureRequests(fastify: FastifyInstance, metrics: Metrics): void {
  const refusals = new Counter({
    name: 'latchledger_problems_total',
    help: 'Refused requests, by problem code.',
    labelNames: ['code'],
    registers: [metrics.registry],
  });
  fastify.addHook('onResponse', async (request, reply) => {
    // The route's pattern, never the address with its ids: the number of series stays fixed.
    const route = request.routeOptions.url ?? 'none';
    metrics.requestSeconds.observe({ method: request.method, route, status: String(reply.statusCode) }, reply.elapsedTime / 1000);
    if (request.problemCode !== undefined) refusals.inc({ code: request.problemCode });
  });
}

/**
 * Prometheus metrics at /metrics. They tell how busy an operator is, so only this machine may read them, unless a token
 * is configured. A request that a proxy on this machine passes on is not from this machine.
 */
export function serveMetrics(fastify: FastifyInstance, input: { metrics: Metrics; token: string | null }): void {
  fastify.get('/metrics', async (request, reply) => {
    if (!mayRead(request, input.token)) {
      sendFailure({ failure: { code: 'route-not-found' }, request, reply });
      return reply;
    }
    const { contentType, body } = await input.metrics.expose();
    return reply.header('Content-Type', contentType).send(body);
  });
}

function mayRead(request: FastifyRequest, token: string | null): boolean {
  const given = /^Bearer (.+)$/.exec(request.headers.authorization ?? '')?.[1];
  if (token !== null) return given !== undefined && timingSafeEqual(sha256(given), sha256(token));
  const passedOn = request.headers['x-forwarded-for'] !== undefined || request.headers.forwarded !== undefined;
  return !passedOn && /^(127\.|::1$|::ffff:127\.)/.test(request.socket.remoteAddress ?? '');
}

function sha256(text: string): Buffer {
  return createHash('sha256').update(text).digest();
}
