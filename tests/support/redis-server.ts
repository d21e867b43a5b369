import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { freePort } from './free-port';

/** Starts Debian's redis-server on a free port of 127.0.0.1; it keeps nothing. */
export async function startRedisServer(): Promise<{ url: string; stop: () => Promise<void> }> {
  const directory = mkdtempSync(join(tmpdir(), 'latchledger-redis-'));
  const port = await freePort();
  const child = spawn('redis-server', ['--port', String(port), '--bind', '127.0.0.1', '--dir', directory, '--save', ''], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  await new Promise<void>((resolve, reject) => {
    child.once('exit', (code) => reject(new Error(`redis-server ended with ${code}`)));
    child.stdout.on('data', (chunk: Buffer) => chunk.includes('Ready to accept connections') && resolve());
  });
  return {
    url: `redis://127.0.0.1:${port}`,
    stop: async () => {
      const gone = new Promise((resolve) => child.once('exit', resolve));
      child.kill('SIGTERM');
      await gone;
      rmSync(directory, { recursive: true, force: true });
    },
  };
}
