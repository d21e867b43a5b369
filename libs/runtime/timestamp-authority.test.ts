import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createServer, type RequestListener, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { makeOperatorCertificate } from '#statement/sign/operator-certificate';
import { readWorkerConfiguration } from './configuration';
import { askByHttp, readCertificates } from './timestamp-authority';

let server: Server;
let answer: RequestListener;
let ask: (request: Uint8Array) => Promise<Uint8Array>;
let folder: string;

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'latchledger-anchors-'));
  server = createServer((request, response) => answer(request, response));
  await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
  ask = askByHttp(`http://127.0.0.1:${(server.address() as AddressInfo).port}/tsa`);
});
afterAll(() => {
  rmSync(folder, { recursive: true, force: true });
  server.close();
});

const REPLY = { 'Content-Type': 'application/timestamp-reply' };

test('a request goes out as the RFC says, and the answer comes back as it is', async () => {
  let sent: unknown;
  answer = (request, response) => {
    const parts: Buffer[] = [];
    request.on('data', (part: Buffer) => parts.push(part));
    request.on('end', () => {
      sent = [request.method, request.url, request.headers['content-type'], Buffer.concat(parts).toString()];
      response.writeHead(200, REPLY).end('token');
    });
  };
  expect(Buffer.from(await ask(Buffer.from('request'))).toString()).toBe('token');
  expect(sent).toEqual(['POST', '/tsa', 'application/timestamp-query', 'request']);
});

test.each<[string, RequestListener, string]>([
  ['an error', (_, response) => response.writeHead(503, REPLY).end('x'), 'answered 503'],
  ['a page', (_, response) => response.writeHead(200, { 'Content-Type': 'text/html; charset=utf-8' }).end('<p>'), 'answered text/html'],
  ['too much', (_, response) => response.writeHead(200, REPLY).end(Buffer.alloc(200_000)), 'longer than 100000 bytes'],
])('%s instead of an answer is refused', async (_, listener, message) => {
  answer = listener;
  await expect(ask(Buffer.from('request'))).rejects.toThrow(message);
});

test('certificates are read from a file, and a file without any is named by its variable', async () => {
  const day = new Date('2026-01-01T00:00:00Z');
  const { certificate } = await makeOperatorCertificate({ operatorName: 'Clock', validFrom: day, validTo: day, serial: '01' });
  const pem = `-----BEGIN CERTIFICATE-----\n${Buffer.from(certificate).toString('base64')}\n-----END CERTIFICATE-----\n`;
  const [good, none, broken] = ['good', 'none', 'broken'].map((name) => join(folder, name)) as [string, string, string];
  writeFileSync(good, `${pem}# and once more\n${pem}`);
  writeFileSync(none, 'nothing');
  writeFileSync(broken, '-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n');
  const read = readCertificates(good);
  expect(read.ok && read.certificates.map((der) => Buffer.from(der).equals(certificate))).toEqual([true, true]);
  const environment = {
    APP_DATABASE_URL: 'postgres://latchledger_app:pw@db/latchledger',
    RELAY_DATABASE_URL: 'postgres://latchledger_relay:pw@db/latchledger',
    MASTER_KEY_FILE: 'x',
    TIMESTAMP_AUTHORITY_URL: 'https://clock.example.com/tsa',
  };
  expect(readWorkerConfiguration({ ...environment, TIMESTAMP_AUTHORITY_CERTIFICATES: good, TIMESTAMP_AUTHORITY_POLICY: '1.2.3' })).toMatchObject({
    ok: true,
    value: { timestampAuthority: { url: 'https://clock.example.com/tsa', trust: { policy: '1.2.3', anchors: [expect.anything(), expect.anything()] } } },
  });
  for (const file of [none, broken, join(folder, 'missing')]) {
    expect(readWorkerConfiguration({ ...environment, TIMESTAMP_AUTHORITY_CERTIFICATES: file })).toMatchObject({ ok: false, problems: [{ variable: 'TIMESTAMP_AUTHORITY_CERTIFICATES' }] });
  }
});
