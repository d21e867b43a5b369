/** `npm start` on an installed and built checkout: from the command to the line that shows the address, first and second time. */
import { execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { once } from 'node:events';
import { freePort } from '#tests/support/free-port';

export type StartBench = {
  /** Empty folder: makes the database, its tables and the demo. */
  readonly firstSeconds: number;
  readonly secondSeconds: number;
};

export async function benchStart(): Promise<StartBench> {
  // As `npm install` leaves it.
  execFileSync('npm', ['run', 'build'], { stdio: 'ignore' });
  const dataDirectory = mkdtempSync(join(tmpdir(), 'latchledger-bench-'));
  try {
    return { firstSeconds: await secondsToReady(dataDirectory), secondSeconds: await secondsToReady(dataDirectory) };
  } finally {
    rmSync(dataDirectory, { recursive: true, force: true });
  }
}

const PATIENCE_MS = 120_000;

async function secondsToReady(dataDirectory: string): Promise<number> {
  const port = await freePort();
  const startedAt = performance.now();
  // A group of its own, so that Ctrl-C reaches npm and what npm started, as in a terminal.
  const child = spawn('npm', ['start'], {
    env: { ...process.env, DATA_DIRECTORY: dataDirectory, PORT: String(port) },
    stdio: ['ignore', 'pipe', 'inherit'],
    detached: true,
  });
  const ended = once(child, 'exit');
  let printed = '';
  const isReady = new Promise<void>((resolve, reject) => {
    child.stdout.on('data', (chunk: Buffer) => {
      printed += chunk.toString();
      if (printed.includes('Latchledger runs at')) resolve();
    });
    child.on('exit', () => reject(new Error(`npm start ended early:\n${printed}`)));
    setTimeout(() => reject(new Error(`npm start was not ready in time:\n${printed}`)), PATIENCE_MS).unref();
  });
  try {
    await isReady;
    return (performance.now() - startedAt) / 1000;
  } finally {
    if (child.pid !== undefined && child.exitCode === null) process.kill(-child.pid, 'SIGINT');
    await ended;
  }
}
