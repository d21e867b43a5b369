import { once } from 'node:events';
import { rmSync } from 'node:fs';
import './global-setup';

const STOP_TIMEOUT_MS = 20_000;

/** Stops the server of the run. A server that does not stop, or a test that left its database behind, fails the run. */
export default async function globalTeardown(): Promise<void> {
  const run = globalThis.latchledgerTestRun;
  if (!run) return;
  run.broker.closeAllConnections();
  run.broker.close();
  if (run.console !== undefined) rmSync(run.console.directory, { recursive: true, force: true });
  const child = run.server?.child;
  if (!child) return;
  if (child.exitCode === null) {
    child.stdin?.end();
    const timer = setTimeout(() => child.kill('SIGKILL'), STOP_TIMEOUT_MS);
    await once(child, 'exit');
    clearTimeout(timer);
  }
  if (child.exitCode !== 0) throw new Error(`The test database server did not end well (exit code ${child.exitCode}); see above.`);
}
