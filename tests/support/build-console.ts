// Loaded by Jest before the tests, without the package's "src" condition: nothing but Node's own modules here.
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const root = join(__dirname, '..', '..');

/** Also for a test that builds the verifier a second time. */
export { runVite };

export type ConsoleBuild = { readonly directory: string; readonly done: Promise<string> };

/** Builds the console as it stands now into a folder of the run, so that no test looks at an older one. `done` gives the folder. */
export function buildConsole(): ConsoleBuild {
  const directory = mkdtempSync(join(tmpdir(), 'console-'));
  return { directory, done: build(directory).then(() => directory) };
}

async function build(directory: string): Promise<void> {
  // The verifier's page lies beside the console's files, whose build empties the folder.
  await runVite('apps/console/vite.config.mts', directory);
  await runVite('apps/console/verifier/vite.config.mts', directory);
}

async function runVite(config: string, directory: string): Promise<void> {
  const flags = ['build', '--config', config, '--outDir', directory, '--logLevel', 'error'];
  const child = spawn(process.execPath, [join(root, 'node_modules', 'vite/bin/vite.js'), ...flags], {
    cwd: root,
    stdio: ['ignore', 'ignore', 'inherit'],
    // The tests' own settings would make it a development build.
    env: { ...process.env, NODE_ENV: 'production' },
  });
  const [code] = (await once(child, 'exit')) as [number | null];
  if (code !== 0) throw new Error(`The console could not be built (exit code ${code}); see above.`);
}
