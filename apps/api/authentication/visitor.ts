import type { Visitor } from '#backoffice/identity/visitor';
import type { FastifyRequest } from 'fastify';

/** Where a request comes from, for attempts and sessions. */
export function visitorOf(request: FastifyRequest): Visitor {
  return { address: request.ip, userAgent: request.headers['user-agent'] ?? '', requestId: request.id };
}
