/** `npm start` on an installed and built checkout: from the command to the line that shows the address, first and second time. */
import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { once } from 'node:events';

export type StartBench = {
  /** Empty folder: makes the database, its tables and the demo. */
  readonly firstSeconds: number;
  readonly secondSeconds: number;
};

export async function benchStart(): Promise<StartBench> {
  const dataDirectory = mkdtempSync(join(tmpdir(), 'latchledger-bench-'));
  try {
    return { firstSeconds: await secondsToReady(dataDirectory), secondSeconds: await secondsToReady(dataDirectory) };
  } finally {
    rmSync(dataDirectory, { recursive: true, force: true });
  }
}

async function secondsToReady(dataDirectory: string): Promise<number> {
  const port = await freePort();
  const startedAt = performance.now();
  const child = spawn('npm', ['start'], {
    env: { ...process.env, DATA_DIRECTORY: dataDirectory, PORT: String(port) },
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let printed = '';
  for await (const chunk of child.stdout) {
    printed += String(chunk);
    if (printed.includes('Latchledger runs at')) break;
  }
  const seconds = (performance.now() - startedAt) / 1000;
  if (!printed.includes('Latchledger runs at')) throw new Error(`npm start ended early:\n${printed}`);
  const ended = once(child, 'exit');
  child.kill('SIGINT');
  await ended;
  return seconds;
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const address = server.address();
  server.close();
  if (address === null || typeof address === 'string') throw new Error('no port');
  return address.port;
}
