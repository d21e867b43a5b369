import { fork, spawnSync, type ChildProcess } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const root = join(__dirname, '../..');
const execArgv = ['-C', 'src', '-r', '@swc-node/register'];

let directory: string;
let children: ChildProcess[];
beforeEach(() => {
  directory = mkdtempSync(join(tmpdir(), 'latchledger-lifecycle-'));
  children = [];
});
afterEach(() => {
  for (const child of children) child.kill('SIGKILL');
  rmSync(directory, { recursive: true, force: true });
});

/** A process run by runProcess that says "up" and, when it closes, "down". */
function script(body = `return { close: async () => say('down') };`): string {
  const path = join(directory, 'process.cjs');
  writeFileSync(
    path,
    `const { runProcess } = require(${JSON.stringify(join(__dirname, 'lifecycle.ts'))});
     const { createLogger } = require(${JSON.stringify(join(__dirname, 'logging.ts'))});
     const say = (word) => process.stdout.write(word + '\\n');
     setInterval(() => {}, 1000);
     runProcess({ logger: createLogger({ name: 'x', level: 'silent' }), start: async () => { say('up'); ${body} } });`,
  );
  return path;
}

function start(path: string): { child: ChildProcess; said: () => string; ended: Promise<number | null> } {
  const child = fork(path, { cwd: root, execArgv, stdio: ['ignore', 'pipe', 'inherit', 'ipc'] });
  children.push(child);
  let output = '';
  child.stdout?.on('data', (chunk: Buffer) => (output += chunk.toString()));
  return { child, said: () => output, ended: new Promise((resolve) => child.once('exit', resolve)) };
}

async function upBy({ said }: { said: () => string }): Promise<void> {
  while (!said().includes('up')) await new Promise((resolve) => setTimeout(resolve, 20));
}

it('says that it is up, and closes on SIGTERM', async () => {
  const running = start(script());
  const messages: unknown[] = [];
  running.child.on('message', (message) => messages.push(message));
  await upBy(running);
  while (messages.length === 0) await new Promise((resolve) => setTimeout(resolve, 20));
  expect(messages).toEqual([{ kind: 'ready' }]);
  running.child.kill('SIGTERM');
  expect(await running.ended).toBe(0);
  expect(running.said()).toBe('up\ndown\n');
});

it('leaves Ctrl-C to its supervisor, and closes when that is gone', async () => {
  const running = start(script());
  await upBy(running);
  running.child.kill('SIGINT');
  await new Promise((resolve) => setTimeout(resolve, 200));
  expect(running.said()).toBe('up\n');
  running.child.disconnect();
  expect(await running.ended).toBe(0);
  expect(running.said()).toBe('up\ndown\n');
});

it('ends with a status when it cannot start, when it fails to close and when something was not caught', async () => {
  for (const body of [
    `throw new Error('no port');`,
    `setTimeout(() => process.kill(process.pid, 'SIGTERM'), 10); return { close: async () => { throw new Error('stuck'); } };`,
    `setTimeout(() => { throw new Error('bug'); }, 10); return { close: async () => say('down') };`,
  ]) {
    expect(await start(script(body)).ended).toBe(1);
  }
});

it('prints every problem of the configuration and ends with the status for it', () => {
  const path = join(directory, 'configured.cjs');
  writeFileSync(
    path,
    `const { configurationOrExit } = require(${JSON.stringify(join(__dirname, 'lifecycle.ts'))});
     const { readApiConfiguration } = require(${JSON.stringify(join(__dirname, 'configuration.ts'))});
     configurationOrExit(readApiConfiguration({ PORT: 'x' }));`,
  );
  const { status, stderr } = spawnSync(process.execPath, [...execArgv, path], { cwd: root, encoding: 'utf8' });
  expect(status).toBe(78);
  expect(stderr.trim().split('\n').map((line) => line.split(' ')[0]).sort()).toEqual(['APP_DATABASE_URL', 'MASTER_KEY_FILE', 'PORT'].sort());
});
