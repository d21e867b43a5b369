import { spawn, spawnSync, type ChildProcess } from 'node:child_process';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';

const root = join(__dirname, '../..');
/** The sources, as they would run after a build. */
const flags = (program: string): string[] => ['-C', 'src', '-r', '@swc-node/register', join(root, 'apps', 'command', `${program}.ts`)];

export type StartedProgram = {
  readonly child: ChildProcess;
  readonly printed: () => string;
  readonly ended: Promise<number | NodeJS.Signals | null>;
};

/** Runs one of the commands to its end, in an environment of its own. */
export function runCommandToEnd(program: string, words: readonly string[], environment: Record<string, string>): { status: number | null; printed: string } {
  const { status, stdout, stderr } = spawnSync(process.execPath, [...flags(program), ...words], {
    cwd: root,
    env: { PATH: process.env['PATH'], ...environment },
    encoding: 'utf8',
  });
  return { status, printed: stdout + stderr };
}

/** Does what `npm start` does, and returns when the program says where it runs. */
export async function startProgram(environment: Record<string, string>): Promise<StartedProgram> {
  const child = spawn(process.execPath, flags('start'), {
    cwd: root,
    env: { PATH: process.env['PATH'], ...environment },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let output = '';
  child.stdout.on('data', (chunk: Buffer) => (output += chunk.toString()));
  child.stderr.on('data', (chunk: Buffer) => (output += chunk.toString()));
  const ended = new Promise<number | NodeJS.Signals | null>((resolve) => child.once('exit', (status, signal) => resolve(status ?? signal)));
  while (!output.includes('runs at')) {
    const over = await Promise.race([ended, pause(50)]);
    if (over !== undefined) throw new Error(`npm start ended with ${over}:\n${output}`);
  }
  return { child, printed: () => output, ended };
}
