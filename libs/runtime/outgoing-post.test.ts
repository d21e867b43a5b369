import type { LookupAddress } from 'node:dns';
import { createServer, type RequestListener, type Server } from 'node:http';
import { once } from 'node:events';
import type { AddressInfo } from 'node:net';
import { outgoing, type Resolve } from './outgoing-post';
import { parseNetwork } from './public-address';

const servers: Server[] = [];
afterEach(async () => {
  for (const server of servers.splice(0)) {
    server.closeAllConnections();
    server.close();
    await once(server, 'close');
  }
});

async function listen(answer: RequestListener): Promise<number> {
  const server = createServer(answer).listen(0, '127.0.0.1');
  servers.push(server);
  await once(server, 'listening');
  return (server.address() as AddressInfo).port;
}

const loopback = [parseNetwork('127.0.0.0/8')].flatMap((network) => network ?? []);
/** A server of names that gives its answers one after the other, the last one for ever. */
function names(...answers: readonly (readonly string[])[]): { readonly resolve: Resolve; readonly asked: () => number } {
  let asked = 0;
  return {
    resolve: (_name, _options, callback) => {
      const addresses = answers[Math.min(asked, answers.length - 1)] ?? [];
      asked += 1;
      callback(null, addresses.map((address): LookupAddress => ({ address, family: address.includes(':') ? 6 : 4 })));
    },
    asked: () => asked,
  };
}

const request = (url: string) => ({ url, headers: { 'content-type': 'application/json', 'webhook-id': 'a' }, body: '{"ä":1}' });

it('posts the bytes as they are, and gives status, text and when to come again', async () => {
  let received = '';
  const port = await listen((incoming, outgoingAnswer) => {
    incoming.on('data', (part: Buffer) => (received += part.toString('utf8')));
    incoming.on('end', () => outgoingAnswer.writeHead(503, { 'Retry-After': '7', 'Set-Cookie': 'session=1' }).end(`${incoming.method} ${String(incoming.headers['webhook-id'])} ${incoming.headers['content-length']} later`));
  });
  const { post } = outgoing({ allowed: loopback });
  expect(await post(request(`http://127.0.0.1:${port}/in`))).toEqual({ kind: 'answered', status: 503, text: 'POST a 8 later', retryAfter: '7' });
  expect(received).toBe('{"ä":1}');
});

it('follows no redirect', async () => {
  let requests = 0;
  const port = await listen((_incoming, answer) => {
    requests += 1;
    answer.writeHead(307, { Location: '/elsewhere' }).end();
  });
  expect(await outgoing({ allowed: loopback }).post(request(`http://127.0.0.1:${port}/`))).toMatchObject({ kind: 'answered', status: 307 });
  expect(requests).toBe(1);
});

it('reads no more of an answer than it keeps for long, and does not wait for one that never ends', async () => {
  const endless = await listen((_incoming, answer) => {
    answer.writeHead(200);
    const timer = setInterval(() => answer.write('x'.repeat(40_000)), 1);
    answer.on('close', () => clearInterval(timer));
  });
  const answered = await outgoing({ allowed: loopback }).post(request(`http://127.0.0.1:${endless}/`));
  expect(answered).toMatchObject({ kind: 'answered', status: 200, text: 'x'.repeat(2048) });

  const silent = await listen(() => undefined);
  expect(await outgoing({ allowed: loopback, timeoutMs: 50 }).post(request(`http://127.0.0.1:${silent}/`))).toEqual({ kind: 'not-answered', failure: 'timed-out' });
  const slow = await listen((_incoming, answer) => void answer.writeHead(200).write('so far'));
  expect(await outgoing({ allowed: loopback, timeoutMs: 2_000 }).post(request(`http://127.0.0.1:${slow}/`))).toMatchObject({ kind: 'answered', status: 200, text: 'so far' });
});

it('says why there was no answer', async () => {
  const { post } = outgoing({ allowed: loopback });
  const broken = await listen((incoming) => incoming.socket.destroy());
  expect(await post(request(`http://127.0.0.1:${broken}/`))).toEqual({ kind: 'not-answered', failure: 'broken-off' });
  // Speaks http where a handshake is waited for.
  expect(await post(request(`https://127.0.0.1:${broken}/`))).toMatchObject({ kind: 'not-answered' });
  servers[0]?.close();
  expect(await post(request('http://127.0.0.1:1/'))).toEqual({ kind: 'not-answered', failure: 'not-reached' });
  const unknown: Resolve = (_name, _options, callback) => callback(Object.assign(new Error('no such name'), { code: 'ENOTFOUND' }), []);
  expect(await outgoing({ allowed: [], resolve: unknown }).post(request('https://nowhere.example/'))).toEqual({ kind: 'not-answered', failure: 'name-unknown' });
});

describe('addresses that only this machine reaches', () => {
  let requests = 0;
  let port = 0;
  beforeEach(async () => {
    requests = 0;
    port = await listen((_incoming, answer) => {
      requests += 1;
      answer.end();
    });
  });
  const refused = { kind: 'not-answered', failure: 'address-not-allowed' };

  it.each(['127.0.0.1', '2130706433', '0x7f.1', '127.1', '[::1]', '[::ffff:127.0.0.1]', '[::ffff:7f00:1]', '0.0.0.0', '10.0.0.1', '169.254.169.254', '[fe80::1]', 'localhost', 'a.localhost.'])('are refused where they stand in the address: %s', async (host) => {
    const { post, whyUnreachable } = outgoing({ allowed: [] });
    expect(whyUnreachable(`https://${host}:${port}/`)).toBe('not-public');
    expect(await post(request(`https://${host}:${port}/`))).toEqual(refused);
    expect(await post(request(`http://${host}:${port}/`))).toEqual(refused);
    expect(requests).toBe(0);
  });

  it.each([['127.0.0.1'], ['::1'], ['::ffff:127.0.0.1'], ['192.168.1.5'], ['100.64.0.1'], ['fd00::1'], ['93.184.216.34', '127.0.0.1'], []])('are refused where a name leads to them: %j', async (...addresses) => {
    const { resolve } = names(addresses);
    expect(await outgoing({ allowed: [], resolve }).post(request(`https://name.example:${port}/`))).toEqual(refused);
    expect(requests).toBe(0);
  });

  it('are not reached by a name that leads elsewhere the second time it is asked for', async () => {
    const turning = names(['93.184.216.34'], ['127.0.0.1']);
    const { post } = outgoing({ allowed: [], resolve: turning.resolve, timeoutMs: 300 });
    // The first answer is what is connected to, whatever comes of it; nobody asks again in between.
    expect(await post(request(`https://name.example:${port}/`))).toMatchObject({ kind: 'not-answered' });
    expect(turning.asked()).toBe(1);
    expect(await post(request(`https://name.example:${port}/`))).toEqual(refused);
    expect(requests).toBe(0);
  });

  it('are reached where the installation allows their network, by http there and nowhere else', async () => {
    const { resolve } = names(['127.0.0.1']);
    expect(await outgoing({ allowed: loopback, resolve }).post(request(`http://name.example:${port}/`))).toMatchObject({ kind: 'answered', status: 200 });
    expect(requests).toBe(1);
    const abroad = names(['93.184.216.34']);
    expect(await outgoing({ allowed: loopback, resolve: abroad.resolve }).post(request(`http://name.example:${port}/`))).toEqual(refused);
  });
});

it('says before anything is sent what cannot be reached', () => {
  const [closed, open] = [outgoing({ allowed: [] }), outgoing({ allowed: loopback })];
  expect(['http://books.example/', 'https://books.example/', 'https://1.1.1.1/', 'http://1.1.1.1/'].map(closed.whyUnreachable)).toEqual(['not-https', null, null, 'not-https']);
  expect(['http://books.example/', 'http://127.0.0.1:9/', 'http://localhost/', 'http://10.0.0.1/', 'http://1.1.1.1/'].map(open.whyUnreachable)).toEqual([null, null, null, 'not-public', 'not-https']);
});
