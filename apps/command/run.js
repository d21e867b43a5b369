// Runs one of the commands of this folder: `node apps/command/run.js start`. It is plain JavaScript because it has to
// run before anything is built: the program is built first when it is not, or when a source is newer than the build.
const { spawnSync } = require('node:child_process');
const { existsSync, mkdirSync, readdirSync, statSync, utimesSync, writeFileSync } = require('node:fs');
const { join, resolve } = require('node:path');

const root = resolve(__dirname, '..', '..');
const stamp = join(root, 'dist', 'built-at');

/** Time of the newest source; generated files follow from the others. */
function newestSource(directory) {
  let newest = 0;
  for (const entry of readdirSync(directory, { withFileTypes: true })) {
    if (entry.name === 'generated' || entry.name.startsWith('.')) continue;
    const path = join(directory, entry.name);
    if (entry.isDirectory()) newest = Math.max(newest, newestSource(path));
    else if (!/\.test\.tsx?$|\.md$/.test(entry.name)) newest = Math.max(newest, statSync(path).mtimeMs);
  }
  return newest;
}

function isBuilt() {
  if (!existsSync(stamp)) return false;
  const built = statSync(stamp).mtimeMs;
  const single = ['package.json', 'tsconfig.json'].map((name) => statSync(join(root, name)).mtimeMs);
  return built > Math.max(...single, ...['apps', 'libs', 'prisma'].map((name) => newestSource(join(root, name))));
}

function run(program, flags) {
  const { status, error } = spawnSync(process.execPath, [program, ...flags], { cwd: root, stdio: 'inherit' });
  if (error) throw error;
  if (status !== 0) process.exit(status ?? 1);
}

const moduleFile = (path) => join(root, 'node_modules', ...path.split('/'));

function build() {
  const startedAt = new Date();
  run(join(root, 'prisma', 'generate.mjs'), []);
  run(moduleFile('typescript/bin/tsc'), ['--project', join(root, '.config', 'tsconfig.build.json')]);
  run(moduleFile('@hey-api/openapi-ts/bin/run.js'), ['-f', join(root, 'apps', 'console', 'openapi-ts.config.mjs'), '--silent']);
  run(moduleFile('vite/bin/vite.js'), ['build', '--config', join(root, 'apps', 'console', 'vite.config.mts')]);
  run(moduleFile('vite/bin/vite.js'), ['build', '--config', join(root, 'apps', 'console', 'verifier', 'vite.config.mts')]);
  mkdirSync(join(root, 'dist'), { recursive: true });
  // As old as the beginning: what was changed while it was built is built again.
  writeFileSync(stamp, `${startedAt.toISOString()}\n`);
  utimesSync(stamp, startedAt, startedAt);
}

const command = process.argv[2] ?? '';
if (command === 'build') {
  build();
} else {
  const program = join(root, 'dist', 'apps', 'command', `${command}.js`);
  if (!isBuilt()) {
    process.stdout.write('Building, because the sources are newer than the last build ...\n');
    build();
  }
  // As if Node had been given the program itself.
  process.argv.splice(1, 2, program);
  require('node:module').runMain();
}
