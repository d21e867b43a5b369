import { spawn } from 'node:child_process';
import { createHash, randomBytes } from 'node:crypto';
import {
  chmodSync,
  chownSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readdirSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { accountForExistingCluster, accountForNewCluster, asAccount, isReachableBy, type ServerAccount } from './account';
import { findPostgresBinaries, type PostgresBinaries } from './binaries';
import { sharedStateDirectory } from './state-directory';

/** One initialised database cluster on disk, with what is needed to run it. */
export type Cluster = {
  /** Holds the cluster, its superuser password, the remembered port and the server's log. */
  readonly serverDirectory: string;
  /** Not below the data directory that was asked for. */
  readonly isElsewhere: boolean;
  /** PGDATA: mode 0700, owned by the account. */
  readonly clusterDirectory: string;
  readonly superuserPassword: string;
  readonly account: ServerAccount;
  readonly binaries: PostgresBinaries;
};

export const SUPERUSER_NAME = 'postgres';

const UNFINISHED_PREFIX = 'initialising-';
/** initdb takes about a second; what is older than this was left by a process that was killed. */
const UNFINISHED_KEPT_MS = 10 * 60 * 1000;

/** Opens the cluster that belongs to a data directory, and initialises it first when there is none. */
export async function openCluster(options: { dataDirectory: string; sync: boolean }): Promise<Cluster> {
  mkdirSync(options.dataDirectory, { recursive: true });
  const dataDirectory = realpathSync(options.dataDirectory);
  const parent = serverParentDirectory(dataDirectory);
  const serverDirectory = join(parent, 'server');
  if (!existsSync(serverDirectory)) await initialise({ parent, serverDirectory, sync: options.sync });

  const clusterDirectory = join(serverDirectory, 'cluster');
  const account = accountForExistingCluster(clusterDirectory);
  return {
    serverDirectory,
    isElsewhere: parent !== dataDirectory,
    clusterDirectory,
    superuserPassword: readFileSync(join(serverDirectory, 'superuser-password'), 'utf8').trim(),
    account,
    binaries: findPostgresBinaries(account),
  };
}

/**
 * Where the server's files lie: in the data directory, unless that is below a private home which the server's
 * account cannot enter. The choice is written down in the data directory, because it must not change when
 * permissions do.
 */
function serverParentDirectory(dataDirectory: string): string {
  const noteFile = join(dataDirectory, 'location.json');
  const note = readNote(noteFile);
  // A note that names another directory which still exists came along with a copy of the checkout: a copy gets a
  // cluster of its own. When that other directory is gone the checkout was moved, and the cluster goes with it.
  if (note && (note.dataDirectory === dataDirectory || !existsSync(note.dataDirectory))) return note.serverParent;
  if (existsSync(join(dataDirectory, 'server'))) return dataDirectory;
  if (isReachableBy(accountForNewCluster(), dataDirectory)) return dataDirectory;

  const name = createHash('sha256').update(dataDirectory).digest('hex').slice(0, 16);
  const serverParent = join(sharedStateDirectory(), `database-${name}`);
  mkdirSync(serverParent, { recursive: true });
  chmodSync(serverParent, 0o711);
  writeFileSync(noteFile, `${JSON.stringify({ dataDirectory, serverParent }, null, 2)}\n`);
  return serverParent;
}

function readNote(noteFile: string): { dataDirectory: string; serverParent: string } | undefined {
  if (!existsSync(noteFile)) return undefined;
  return JSON.parse(readFileSync(noteFile, 'utf8')) as { dataDirectory: string; serverParent: string };
}

/**
 * Initialises in a directory of its own and publishes it by one rename. Two first starts at the same moment both
 * initialise, one rename wins, and the other process goes on with the winner's cluster.
 */
async function initialise(place: { parent: string; serverDirectory: string; sync: boolean }): Promise<void> {
  removeUnfinished(place.parent);
  const account = accountForNewCluster();
  const unfinished = mkdtempSync(join(place.parent, UNFINISHED_PREFIX));
  try {
    chmodSync(unfinished, 0o711);
    await initialiseInto({ directory: unfinished, account, sync: place.sync });
    renameSync(unfinished, place.serverDirectory);
  } catch (error) {
    rmSync(unfinished, { recursive: true, force: true });
    const code = (error as NodeJS.ErrnoException).code;
    const lostTheRace = (code === 'ENOTEMPTY' || code === 'EEXIST' || code === 'EPERM') && existsSync(place.serverDirectory);
    if (!lostTheRace) throw error;
  }
}

function removeUnfinished(parent: string): void {
  for (const name of readdirSync(parent)) {
    const path = join(parent, name);
    if (!name.startsWith(UNFINISHED_PREFIX)) continue;
    const { mtimeMs } = statSync(path, { throwIfNoEntry: false }) ?? { mtimeMs: Infinity };
    if (Date.now() - mtimeMs > UNFINISHED_KEPT_MS) rmSync(path, { recursive: true, force: true });
  }
}

async function initialiseInto(target: { directory: string; account: ServerAccount; sync: boolean }): Promise<void> {
  const { initdb } = findPostgresBinaries(target.account);
  const clusterDirectory = join(target.directory, 'cluster');
  const passwordFile = join(target.directory, 'superuser-password');
  mkdirSync(clusterDirectory, { mode: 0o700 });
  writeFileSync(passwordFile, `${randomBytes(24).toString('base64url')}\n`, { mode: 0o600 });
  if (target.account) {
    chownSync(clusterDirectory, target.account.uid, target.account.gid);
    chownSync(passwordFile, target.account.uid, target.account.gid);
  }
  const flags = [
    `--pgdata=${clusterDirectory}`,
    `--username=${SUPERUSER_NAME}`,
    `--pwfile=${passwordFile}`,
    '--auth=scram-sha-256',
    '--encoding=UTF8',
    // The built-in locale sorts by code point on every machine; the system's locales differ and change under a cluster.
    '--locale=C',
    '--locale-provider=builtin',
    '--builtin-locale=C.UTF-8',
    ...syncFlags(target.sync),
  ];
  await runToEnd({ program: initdb, flags, account: target.account, workingDirectory: target.directory });
  // From here on only who starts the server needs the password, not the server's account.
  if (target.account) chownSync(passwordFile, process.getuid?.() ?? 0, process.getgid?.() ?? 0);
}

/** A cluster is a thousand files: one request for all of them, which only Linux knows, takes a fraction of one for each (0.03 s against 4 s on a busy disk). */
function syncFlags(sync: boolean): string[] {
  if (!sync) return ['--no-sync'];
  return process.platform === 'linux' ? ['--sync-method=syncfs'] : [];
}

/** Runs one of PostgreSQL's programs and fails with what it printed when it fails. */
export async function runToEnd(command: {
  program: string;
  flags: readonly string[];
  account: ServerAccount;
  workingDirectory: string;
}): Promise<void> {
  const child = spawn(command.program, [...command.flags], {
    ...asAccount(command.account),
    cwd: command.workingDirectory,
    env: serverEnvironment(),
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let printed = '';
  child.stdout.on('data', (chunk: Buffer) => (printed += chunk.toString()));
  child.stderr.on('data', (chunk: Buffer) => (printed += chunk.toString()));
  const exitCode = await new Promise<number | null>((resolve, reject) => {
    child.once('error', reject);
    child.once('close', resolve);
  });
  if (exitCode !== 0) throw new Error(`${command.program} failed (exit code ${exitCode}): ${printed.trim()}`);
}

/** The server must not pick up settings or secrets of ours: PG* variables and passwords stay out of its environment. */
export function serverEnvironment(): NodeJS.ProcessEnv {
  const { PATH, HOME, TMPDIR, SystemRoot } = process.env;
  return { PATH, HOME, TMPDIR, SystemRoot, LC_ALL: 'C', TZ: 'UTC' };
}
