import { createMetrics } from '#runtime/metrics';
import { freePort } from '#tests/support/free-port';
import { startHealthServer } from './health-server';

let isReady = true;
let counted = 0;
let server: { close: () => Promise<void> };
let address: string;
const metrics = createMetrics({ name: 'worker' });

beforeAll(async () => {
  const port = await freePort();
  address = `http://127.0.0.1:${port}`;
  const beforeMetrics = async (): Promise<void> => metrics.jobsWaiting.set({ queue: 'closing', state: 'waiting' }, (counted += 1));
  server = await startHealthServer({ host: '127.0.0.1', port, metrics, beforeMetrics, isReady: async () => isReady });
});
afterAll(() => server.close());

const get = async (path: string) => {
  const answer = await fetch(address + path);
  return { status: answer.status, type: answer.headers.get('content-type'), body: await answer.text() };
};

it('lives as long as it answers, and is ready when the database is', async () => {
  expect(await get('/health/live')).toMatchObject({ status: 200, body: '{"status":"live"}' });
  expect(await get('/health/ready')).toMatchObject({ status: 200, type: 'application/json' });
  isReady = false;
  expect(await get('/health/ready')).toMatchObject({ status: 503, body: '{"status":"not ready"}' });
  expect(await get('/health/live')).toMatchObject({ status: 200 });
});

it('counts what waits at the moment in which it is asked', async () => {
  for (const expected of [1, 2]) {
    const { status, type, body } = await get('/metrics');
    expect([status, type]).toEqual([200, metrics.registry.contentType]);
    expect(body).toMatch(new RegExp(`latchledger_jobs\\{queue="closing",state="waiting"[^}]*\\} ${expected}\n`));
  }
});

it('knows no other address, and opens no port when it is told none', async () => {
  expect((await get('/')).status).toBe(404);
  await (await startHealthServer({ host: '127.0.0.1', port: 0, metrics, beforeMetrics: async () => undefined, isReady: async () => true })).close();
});
