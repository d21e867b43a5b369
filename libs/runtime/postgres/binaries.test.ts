import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readlinkSync, rmSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { completeInstallation, findPostgresBinaries, makeReadable } from './binaries';

let directory: string;
beforeEach(() => (directory = mkdtempSync(join(tmpdir(), 'latchledger-binaries-'))));
afterEach(() => rmSync(directory, { recursive: true, force: true }));

it('does what an install script that was switched off would have done, and does it twice without harm', () => {
  const native = join(directory, 'native');
  mkdirSync(join(native, 'bin'), { recursive: true });
  mkdirSync(join(native, 'lib'));
  for (const name of ['initdb', 'postgres', 'pg_ctl']) writeFileSync(join(native, 'bin', name), '', { mode: 0o600 });
  writeFileSync(join(native, 'lib', 'libexample.so.5.18'), 'library');
  writeFileSync(
    join(native, 'pg-symlinks.json'),
    JSON.stringify([{ source: 'native/lib/libexample.so.5.18', target: 'native/lib/libexample.so.5' }]),
  );
  completeInstallation(native);
  completeInstallation(native);
  expect(readlinkSync(join(native, 'lib', 'libexample.so.5'))).toBe('libexample.so.5.18');
  expect(existsSync(join(native, 'lib', 'libexample.so.5'))).toBe(true);
  expect(statSync(join(native, 'bin', 'postgres')).mode & 0o111).toBe(0o111);
});

it('lets other accounts read a copy that was unpacked for one account alone', () => {
  mkdirSync(join(directory, 'lib'), { mode: 0o700 });
  writeFileSync(join(directory, 'lib', 'library'), '', { mode: 0o600 });
  writeFileSync(join(directory, 'lib', 'program'), '', { mode: 0o700 });
  symlinkSync('library', join(directory, 'lib', 'link'));
  makeReadable(directory);
  expect(['lib', 'lib/library', 'lib/program'].map((name) => statSync(join(directory, name)).mode & 0o777)).toEqual([0o755, 0o644, 0o755]);
});

it('finds programs of PostgreSQL 18 that run', () => {
  const { postgres, initdb, pgCtl } = findPostgresBinaries(undefined);
  for (const program of [postgres, initdb, pgCtl]) {
    expect(spawnSync(program, ['--version'], { encoding: 'utf8' }).stdout).toMatch(/\(PostgreSQL\) 18\./);
  }
});
