import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { until } from '#tests/support/until';
import { holdProcess, supervise, type Supervised } from './supervisor';

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

describe('a process that is held at the start line', () => {
  const hold = (body: string) => {
    const [script, module] = [join(directory, 'process.cjs'), join(directory, 'module.cjs')];
    writeFileSync(script, body);
    writeFileSync(module, `console.log('loaded', process.env.GIVEN);`);
    const nodeFlags = ['-C', 'src', '-r', '@swc-node/register'];
    const path = { PATH: process.env['PATH'] };
    const held = holdProcess({ script, modules: [module], environment: path, logFile: logFile(), nodeFlags });
    const begin = (): Supervised => {
      const supervised = supervise(
        { name: 'example', script, environment: { ...path, GIVEN: 'yes' }, logFile: logFile(), nodeFlags: [], held: held.process },
        { onRestart: () => undefined },
      );
      running.push(supervised);
      return supervised;
    };
    return { held, begin };
  };

  it('has loaded its modules when it gets its environment, and is started anew without them after a crash', async () => {
    const { held, begin } = hold(ALIVE);
    await until(() => existsSync(logFile()) && log() === 'loaded undefined\n');
    const supervised = begin();
    await supervised.ready;
    expect(supervised.pid()).toBe(held.process.pid);
    process.kill(supervised.pid() ?? 0, 'SIGKILL');
    await until(() => log() === 'loaded undefined\nup yes undefined\nup yes undefined\n');
    await supervised.stop();
  });

  it('begins at once when it was told to while it was loading', async () => {
    const { begin } = hold(ALIVE);
    const supervised = begin();
    await supervised.ready;
    expect(log()).toBe('loaded undefined\nup yes undefined\n');
  });

  it('ends without having begun when nobody needs it', async () => {
    const { held } = hold(ALIVE);
    await held.end();
    expect(existsSync(logFile()) ? log() : '').not.toContain('up');
  });
});
