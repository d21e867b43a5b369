/**
 * Tests that ask a program from outside the project. Where the program is not installed they are skipped under a name that
 * says what would enable them; on CI they fail instead, because there a skipped check is a check that nobody made.
 */
import { spawnSync } from 'node:child_process';
import { accessSync, constants } from 'node:fs';
import { delimiter, join } from 'node:path';

/** A `describe` for tests that need `program`, which Debian's `package` brings. */
export function describeWithProgram(program: string, debianPackage: string, tests: () => void): void {
  if (isInstalled(program)) {
    describe(program, tests);
    return;
  }
  const enabling = `${program} is not installed: apt-get install ${debianPackage}`;
  if (process.env['CI'] === 'true') {
    describe(program, () => {
      it('is installed', () => {
        throw new Error(enabling);
      });
    });
    return;
  }
  const leftOut = describe.skip;
  leftOut(`${program} (skipped, ${enabling})`, tests);
}

export interface ProgramRun {
  readonly exitCode: number | null;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs a program to its end, without a shell, in the C locale unless told otherwise. Throws only if it cannot be started. */
export function runProgram(
  program: string,
  programArguments: readonly string[],
  options: { input?: string | Uint8Array; cwd?: string; env?: Readonly<Record<string, string>> } = {},
): ProgramRun {
  const run = spawnSync(program, programArguments, {
    encoding: 'utf8',
    maxBuffer: 64 * 1024 * 1024,
    env: { ...process.env, LC_ALL: 'C.UTF-8', ...options.env },
    ...(options.cwd === undefined ? {} : { cwd: options.cwd }),
    ...(options.input === undefined ? {} : { input: options.input }),
  });
  if (run.error) throw run.error;
  return { exitCode: run.status, stdout: run.stdout, stderr: run.stderr };
}

function isInstalled(program: string): boolean {
  return (process.env['PATH'] ?? '').split(delimiter).some((folder) => {
    try {
      accessSync(join(folder, program), constants.X_OK);
      return true;
    } catch {
      return false;
    }
  });
}
