import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { isPortFree } from '#runtime/port';
import { freePort } from '#tests/support/free-port';
import { runCommandToEnd, startProgram, type StartedProgram } from '#tests/support/started-program';

let directory: string;
let started: StartedProgram | undefined;
beforeEach(() => {
  directory = mkdtempSync(join(tmpdir(), 'latchledger-start-'));
  chmodSync(directory, 0o755);
});
afterEach(async () => {
  started?.child.kill('SIGTERM');
  await started?.ended;
  rmSync(directory, { recursive: true, force: true });
});

it('serves the operator that was created before, until Ctrl-C, and leaves nothing running', async () => {
  const port = await freePort();
  const environment = { PORT: String(port), DATA_DIRECTORY: directory };
  const words = ['--code', 'harbor', '--name', 'Harbor Example', '--country', 'US', '--currency', 'USD', '--time-zone', 'America/Chicago', '--email', 'owner@example.com'];
  const created = runCommandToEnd('operator-create', words, environment);
  expect(created).toMatchObject({ status: 0, printed: expect.stringContaining(`http://127.0.0.1:${port}/`) });

  started = await startProgram(environment);
  expect(started.printed()).toContain(`Latchledger runs at http://127.0.0.1:${port}`);
  expect(started.printed()).toContain('Stop with Ctrl-C');
  // Books of somebody's own: nothing is invented into them.
  expect(started.printed()).not.toContain('demo');
  expect((await fetch(`http://127.0.0.1:${port}/health/ready`)).status).toBe(200);
  for (const name of ['api', 'worker']) expect(readFileSync(join(directory, 'logs', `${name}.log`), 'utf8')).toContain('"msg":"started"');

  started.child.kill('SIGINT');
  expect(await started.ended).toBe(0);
  expect(started.printed()).toContain('Stopped. The next start keeps the data.');
  expect(existsSync(join(directory, 'postgres', 'server', 'cluster', 'postmaster.pid'))).toBe(false);
  expect(await isPortFree({ host: '127.0.0.1', port })).toBe(true);
  for (const name of ['api', 'worker']) expect(readFileSync(join(directory, 'logs', `${name}.log`), 'utf8')).toContain('"msg":"closing"');
}, 120_000);

it('names every wrong setting and starts nothing', () => {
  const { status, printed } = runCommandToEnd('start', [], { PORT: 'http', HOST: 'every where', DATABASE_URL: 'postgres://u:p@h/d', DATA_DIRECTORY: directory });
  expect(status).toBe(78);
  expect(printed.trim().split('\n').map((line) => line.split(' ')[0]).sort()).toEqual(['HOST', 'MASTER_KEY_FILE', 'PORT']);
  expect(existsSync(join(directory, 'postgres'))).toBe(false);
});

it('says how it is used when asked, and starts nothing', () => {
  for (const program of ['start', 'migrate']) {
    const { status, printed } = runCommandToEnd(program, ['--help'], { DATA_DIRECTORY: directory });
    expect({ status, isUsage: /^npm (start|run migrate)\n/.test(printed) }).toEqual({ status: 0, isUsage: true });
  }
  expect(existsSync(join(directory, 'postgres'))).toBe(false);
});
