import { spawnSync } from 'node:child_process';
import { copyFileSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';

let root: string;
beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'latchledger-run-'));
  mkdirSync(join(root, 'apps', 'command'), { recursive: true });
  copyFileSync(join(__dirname, 'run.js'), join(root, 'apps', 'command', 'run.js'));
  file('package.json', '{}');
  file('tsconfig.json', '{}');
  file('libs/a.ts', '');
  file('apps/command/hello.ts', '');
  // Stand-ins for the tools; the compiler's says that it ran and leaves a program.
  file('prisma/generate.mjs', '');
  file('node_modules/@hey-api/openapi-ts/bin/run.js', '');
  file('node_modules/vite/bin/vite.js', '');
  file(
    'node_modules/typescript/bin/tsc',
    `const fs = require('node:fs');
     fs.appendFileSync('builds', 'built\\n');
     if (fs.existsSync('broken')) process.exit(2);
     fs.mkdirSync('dist/apps/command', { recursive: true });
     fs.writeFileSync('dist/apps/command/hello.js', "console.log('hello', ...process.argv.slice(2), require.main === module)");`,
  );
  for (const path of ['package.json', 'tsconfig.json', 'libs/a.ts', 'apps/command/hello.ts', 'apps/command/run.js', 'prisma/generate.mjs']) aged(path);
});
afterEach(() => rmSync(root, { recursive: true, force: true }));

function file(path: string, content: string): void {
  mkdirSync(dirname(join(root, path)), { recursive: true });
  writeFileSync(join(root, path), content);
}

function aged(path: string): void {
  utimesSync(join(root, path), new Date('2026-01-01'), new Date('2026-01-01'));
}

function run(...words: string[]): { status: number | null; stdout: string } {
  const { status, stdout } = spawnSync(process.execPath, [join(root, 'apps', 'command', 'run.js'), ...words], { encoding: 'utf8' });
  return { status, stdout };
}

const builds = (): number => (existsSync(join(root, 'builds')) ? readFileSync(join(root, 'builds'), 'utf8').trim().split('\n').length : 0);

it('builds what is not built, then runs the program as if Node had been given it', () => {
  expect(run('hello', '--name', 'x')).toMatchObject({ status: 0, stdout: expect.stringMatching(/Building.*\nhello --name x true\n$/s) });
  expect(run('hello')).toEqual({ status: 0, stdout: 'hello true\n' });
  expect(builds()).toBe(1);
});

it('builds again when a source is newer than the build, and not for a test or a text', () => {
  run('build');
  file('libs/a.test.ts', 'new');
  file('libs/README.md', 'new');
  file('apps/console/generated/client.ts', 'new');
  run('hello');
  expect(builds()).toBe(1);
  file('libs/b.ts', 'new');
  run('hello');
  expect(builds()).toBe(2);
});

it('stops at a build that fails, and does not take it for done', () => {
  file('broken', '');
  expect(run('hello').status).toBe(2);
  rmSync(join(root, 'broken'));
  expect(run('hello').status).toBe(0);
  expect(builds()).toBe(2);
});
