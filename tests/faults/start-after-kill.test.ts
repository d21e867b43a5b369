import { chmodSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { freePort } from '#tests/support/free-port';
import { runCommandToEnd, startProgram, type StartedProgram } from '#tests/support/started-program';
import { until } from '#tests/support/until';

/** What an outright kill leaves behind must never stop the next start. */
let directory: string;
let environment: Record<string, string>;
let started: StartedProgram;

beforeAll(async () => {
  directory = mkdtempSync(join(tmpdir(), 'latchledger-killed-'));
  chmodSync(directory, 0o755);
  environment = { PORT: String(await freePort()), DATA_DIRECTORY: directory };
  const words = ['--code', 'harbor', '--name', 'Harbor Example', '--country', 'US', '--currency', 'USD', '--time-zone', 'America/Chicago', '--email', 'owner@example.com'];
  expect(runCommandToEnd('operator-create', words, environment).status).toBe(0);
  started = await startProgram(environment);
}, 120_000);
afterAll(async () => {
  started.child.kill('SIGTERM');
  await started.ended;
  rmSync(directory, { recursive: true, force: true });
});

/** Process ids of api and worker, as they wrote them last. */
const processIds = (): number[] =>
  ['api', 'worker'].map((name) => {
    const lines = readFileSync(join(directory, 'logs', `${name}.log`), 'utf8').trim().split('\n');
    return (JSON.parse(lines.at(-1) ?? '') as { pid: number }).pid;
  });
const postmasterId = (): number => Number(readFileSync(join(directory, 'postgres', 'server', 'cluster', 'postmaster.pid'), 'utf8').split('\n')[0]);

const isRunning = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    // A zombie is nobody: where the first process of a container does not collect them, they stay listed.
    return !/^State:\s*Z/m.test(readFileSync(`/proc/${pid}/status`, 'utf8'));
  } catch {
    return false;
  }
};

const isReady = async (): Promise<boolean> =>
  fetch(`http://127.0.0.1:${environment['PORT']}/health/ready`).then(({ status }) => status === 200, () => false);

it('api and worker end by themselves when the start is killed, and the next start finds the way free', async () => {
  const children = processIds();
  started.child.kill('SIGKILL');
  await started.ended;
  started = await startProgram(environment);
  expect(await isReady()).toBe(true);
  await until(() => !children.some(isRunning));
}, 120_000);

it('everything killed at once, the database too', async () => {
  const all = [...processIds(), postmasterId()];
  started.child.kill('SIGKILL');
  for (const pid of all) process.kill(pid, 'SIGKILL');
  await started.ended;
  started = await startProgram(environment);
  expect(await isReady()).toBe(true);
}, 120_000);

it('an api that is killed is started again', async () => {
  const [api] = processIds();
  process.kill(api ?? 0, 'SIGKILL');
  await until(async () => processIds()[0] !== api && (await isReady()));
  expect(started.printed()).toContain('api ended (SIGKILL); starting it again');
}, 120_000);

it('a start whose database is taken away ends, says so, and can be repeated', async () => {
  process.kill(postmasterId(), 'SIGINT');
  expect(await started.ended).toBe(1);
  expect(started.printed()).toContain('The database went away');
  started = await startProgram(environment);
  expect(await isReady()).toBe(true);
}, 120_000);

it('a second start beside the first says that the port is taken and harms nothing', async () => {
  expect(runCommandToEnd('start', [], environment)).toMatchObject({ status: 1, printed: expect.stringContaining('is taken') });
  expect(await isReady()).toBe(true);
}, 120_000);
