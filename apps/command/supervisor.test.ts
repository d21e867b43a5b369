import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { supervise, type Supervised } from './supervisor';

let directory: string;
let running: Supervised[];
beforeEach(() => {
  directory = mkdtempSync(join(tmpdir(), 'latchledger-supervisor-'));
  running = [];
});
afterEach(async () => {
  for (const each of running) await each.stop();
  rmSync(directory, { recursive: true, force: true });
});

const logFile = (): string => join(directory, 'logs', 'process.log');
const log = (): string => readFileSync(logFile(), 'utf8');

function start(body: string, restarts: string[] = []): Supervised {
  const script = join(directory, 'process.cjs');
  writeFileSync(script, body);
  const supervised = supervise(
    { name: 'example', script, environment: { PATH: process.env['PATH'], GIVEN: 'yes' }, logFile: logFile(), nodeFlags: [] },
    { onRestart: ({ reason, delayMs }) => void restarts.push(`${reason} ${delayMs}`) },
  );
  running.push(supervised);
  return supervised;
}

async function until(condition: () => boolean): Promise<void> {
  for (let attempt = 0; attempt < 400; attempt++) {
    if (condition()) return;
    await pause(25);
  }
  throw new Error('waited ten seconds in vain');
}

const ALIVE = `console.log('up', process.env.GIVEN, process.env.HOME); process.on('SIGTERM', () => { console.log('down'); process.exit(0); }); setInterval(() => {}, 1000); process.send({ kind: 'ready' });`;

it('runs a process with the environment that it is given and no other, and closes it', async () => {
  const supervised = start(ALIVE);
  await supervised.ready;
  await supervised.stop();
  expect(log()).toBe('up yes undefined\ndown\n');
  expect(supervised.pid()).toBeUndefined();
});

it('starts it again after a crash, with growing pauses', async () => {
  const restarts: string[] = [];
  const supervised = start(ALIVE, restarts);
  await supervised.ready;
  for (const times of [2, 3]) {
    process.kill(supervised.pid() ?? 0, 'SIGKILL');
    await until(() => log().split('up').length === times + 1);
  }
  expect(restarts).toEqual(['SIGKILL 1000', 'SIGKILL 2000']);
});

it('reports a process that ends before it was ready, with what it said, and does not try again', async () => {
  const restarts: string[] = [];
  const supervised = start(`console.error('PORT must be a port'); process.exit(78);`, restarts);
  await expect(supervised.ready).rejects.toThrow('The example did not start: exit status 78: PORT must be a port');
  await pause(100);
  expect(restarts).toEqual([]);
  expect(log()).toBe('PORT must be a port\n');
});

it('does not start again what was stopped while it waited to be started again', async () => {
  const restarts: string[] = [];
  const supervised = start(ALIVE, restarts);
  await supervised.ready;
  process.kill(supervised.pid() ?? 0, 'SIGKILL');
  await until(() => restarts.length === 1);
  await supervised.stop();
  await pause(1200);
  expect(log().split('up')).toHaveLength(2);
});
