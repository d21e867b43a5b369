import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';

const root = resolve(__dirname, '..', '..', '..');

export type BuiltConsole = { readonly directory: string; readonly remove: () => void };

/** The console as it stands now, built into a folder of its own so that no test looks at an older one. */
export function buildConsole(): BuiltConsole {
  const directory = mkdtempSync(join(tmpdir(), 'console-'));
  const run = (program: string, ...flags: string[]) =>
    execFileSync(process.execPath, [join(root, 'node_modules', program), ...flags], {
      cwd: root,
      stdio: ['ignore', 'ignore', 'inherit'],
      // The tests' own settings would make it a development build.
      env: { ...process.env, NODE_ENV: 'production' },
    });
  run('vite/bin/vite.js', 'build', '--config', 'apps/console/vite.config.mts', '--outDir', directory, '--logLevel', 'error');
  return { directory, remove: () => rmSync(directory, { recursive: true }) };
}
