import fastifyStatic from '@fastify/static';
import type { FastifyInstance } from 'fastify';
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { sendFailure } from './convention/problem-filter';

/** The page by which anybody checks a statement, signed in or not. */
const VERIFIER = 'verifier.html';

/**
 * Serves the built console. Every address that is neither a file nor the API's is one of the console's own screens, so that a
 * deep link opens. Files under /assets carry their content's hash in the name and are kept for ever; the page that names
 * them is asked for anew each time.
 */
export async function serveConsole(fastify: FastifyInstance, directory: string): Promise<void> {
  const files = new Set(
    readdirSync(directory, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => `${entry.parentPath}/${entry.name}`.slice(directory.length).replace(/^\/+/, '')),
  );
  const verifierPolicy = policyOfVerifier(directory);
  await fastify.register(fastifyStatic, { root: directory, serve: false, acceptRanges: false });
  fastify.get('/*', (request, reply) => {
    const path = decodeURI(request.url.split('?')[0] ?? '/').slice(1);
    if (/^(v1|health|reference|metrics|openapi\.json)(\/|$)/.test(path) || (path.startsWith('assets/') && !files.has(path))) {
      sendFailure({ failure: { code: 'route-not-found' }, request, reply });
      return reply;
    }
    if (!files.has(path) || path === 'index.html') {
      return reply.header('Cache-Control', 'no-cache').sendFile('index.html', { cacheControl: false });
    }
    if (path === VERIFIER && verifierPolicy !== undefined) void reply.header('Content-Security-Policy', verifierPolicy);
    return path.startsWith('assets/')
      ? reply.sendFile(path, { maxAge: '365d', immutable: true })
      : reply.header('Cache-Control', 'no-cache').sendFile(path, { cacheControl: false });
  });
}

/** It holds its script and style within itself, which the console's policy forbids: its own names both by digest, and allows no connection. */
function policyOfVerifier(directory: string): string | undefined {
  const file = join(directory, VERIFIER);
  if (!existsSync(file)) return undefined;
  const policy = /<meta http-equiv="Content-Security-Policy" content="([^"]+)"/.exec(readFileSync(file, 'utf8').slice(0, 2_000))?.[1];
  if (policy === undefined) throw new Error(`${file} has no policy of its own`);
  return `${policy}; frame-ancestors 'none'`;
}
