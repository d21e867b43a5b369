// Generates the Prisma client into prisma/generated (not committed).
//
// The command line looks for its native schema engine before anything else and would fetch it from a host that is
// neither a package registry nor needed: the client does without that engine. Naming any program as the engine stops
// the search. It must be named for `generate` alone: `migrate` and `db` would do nothing and say nothing.
import { spawnSync } from 'node:child_process';
import { createRequire } from 'node:module';
import { dirname } from 'node:path';
import { fileURLToPath } from 'node:url';

const commandLine = createRequire(import.meta.url).resolve('prisma/build/index.js');
const { status, error } = spawnSync(process.execPath, [commandLine, 'generate', '--no-hints'], {
  cwd: dirname(dirname(fileURLToPath(import.meta.url))),
  stdio: 'inherit',
  env: { ...process.env, PRISMA_SCHEMA_ENGINE_BINARY: process.execPath, CHECKPOINT_DISABLE: '1', PRISMA_HIDE_UPDATE_MESSAGE: '1' },
});
if (error) throw error;
process.exitCode = status ?? 1;
