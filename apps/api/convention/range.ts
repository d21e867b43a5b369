import type { FastifyRequest } from 'fastify';

/**
 * From which byte on a file is asked for, and for which file that holds (RFC 9110 sections 13.1.5 and 14.1.2). Only `bytes=N-`, which is what
 * a download asks that broke off; anything else is answered with the whole, as the standard allows.
 */
export function rangeIn(request: FastifyRequest): { startByte: number; etag: string | null } | null {
  const startByte = /^bytes=([0-9]{1,15})-$/.exec(request.headers.range ?? '')?.[1];
  const etag = request.headers['if-range'];
  return startByte === undefined ? null : { startByte: Number(startByte), etag: typeof etag === 'string' ? etag : null };
}
