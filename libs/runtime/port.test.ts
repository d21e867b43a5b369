import { once } from 'node:events';
import { createServer, type AddressInfo } from 'node:net';
import { isPortFree } from './port';

it('sees a port that is taken, and takes none itself', async () => {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as AddressInfo;
  expect(await isPortFree({ host: '127.0.0.1', port })).toBe(false);
  await new Promise((resolve) => server.close(resolve));
  expect(await isPortFree({ host: '127.0.0.1', port })).toBe(true);
  expect(await isPortFree({ host: '127.0.0.1', port })).toBe(true);
});
