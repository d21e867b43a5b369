import type { ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { rmSync } from 'node:fs';
import './global-setup';

const STOP_TIMEOUT_MS = 60_000;

/** Stops the server of the run. A server that does not stop, or a test that left its database behind, fails the run. */
export default async function globalTeardown(): Promise<void> {
  const run = globalThis.latchledgerTestRun;
  if (!run) return;
  run.broker.closeAllConnections();
  run.broker.close();
  if (run.console !== undefined) rmSync(run.console.directory, { recursive: true, force: true });
  try {
    await stopServer(run.server?.child);
  } finally {
    if (run.folder !== undefined) rmSync(run.folder, { recursive: true, force: true });
  }
}

async function stopServer(child: ChildProcess | undefined): Promise<void> {
  if (child === undefined) return;
  if (child.exitCode === null) {
    child.stdin?.end();
    const timer = setTimeout(() => child.kill('SIGKILL'), STOP_TIMEOUT_MS);
    await once(child, 'exit');
    clearTimeout(timer);
  }
  if (child.exitCode !== 0) throw new Error(`The test database server did not end well (exit code ${child.exitCode}); see above.`);
}
