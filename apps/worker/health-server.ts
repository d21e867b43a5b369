import { createServer, type Server, type ServerResponse } from 'node:http';
import { once } from 'node:events';
import type { Metrics } from '#runtime/metrics';

/** Health and metrics of a worker, for whoever watches processes. Port 0: none. */
export async function startHealthServer(options: {
  readonly host: string;
  readonly port: number;
  readonly metrics: Metrics;
  /** Brings figures up to date that nobody counts as they change, such as how much waits in the queues. */
  readonly beforeMetrics: () => Promise<unknown>;
  readonly isReady: () => Promise<boolean>;
}): Promise<{ close: () => Promise<void> }> {
  if (options.port === 0) return { close: () => Promise.resolve() };
  const server: Server = createServer((request, response) => {
    answer(request.url ?? '/', response, options).catch(() => response.writeHead(500).end());
  });
  server.listen(options.port, options.host);
  await once(server, 'listening');
  return {
    close: async () => {
      server.closeAllConnections();
      server.close();
      await once(server, 'close');
    },
  };
}

async function answer(path: string, response: ServerResponse, { metrics, beforeMetrics, isReady }: Parameters<typeof startHealthServer>[0]): Promise<void> {
  const json = (status: number, body: object): void => {
    response.writeHead(status, { 'Content-Type': 'application/json' }).end(JSON.stringify(body));
  };
  if (path === '/health/live') return json(200, { status: 'live' });
  if (path === '/health/ready') return (await isReady()) ? json(200, { status: 'ready' }) : json(503, { status: 'not ready' });
  if (path !== '/metrics') return json(404, { status: 'no such address' });
  await beforeMetrics();
  const { contentType, body } = await metrics.expose();
  response.writeHead(200, { 'Content-Type': contentType }).end(body);
}
