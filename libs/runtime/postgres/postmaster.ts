import { execFileSync, spawn } from 'node:child_process';
import {
  closeSync,
  existsSync,
  openSync,
  readFileSync,
  readlinkSync,
  realpathSync,
  renameSync,
  writeFileSync,
} from 'node:fs';
import type { Socket } from 'node:net';
import { join } from 'node:path';
import { asAccount } from './account';
import { runToEnd, serverEnvironment, type Cluster } from './cluster';

/** What a running postmaster says about itself in postmaster.pid. */
export type Postmaster = { readonly pid: number; readonly port: number; readonly isReady: boolean };

/** No system hands out this process id: PostgreSQL will find it dead. */
const IMPOSSIBLE_PID = 2_147_483_647;

/** Reads postmaster.pid; `undefined` when there is none or it is only half written. */
export function readPostmaster(clusterDirectory: string): Postmaster | undefined {
  const lines = readIfThere(join(clusterDirectory, 'postmaster.pid'))?.split('\n') ?? [];
  // Lines, as PostgreSQL's src/include/utils/pidfile.h numbers them: 1 process id, 4 port, 8 state.
  const [pid, port] = [Number(lines[0]), Number(lines[3])];
  if (!Number.isInteger(pid) || pid <= 0) return undefined;
  return { pid, port, isReady: lines[7]?.trim() === 'ready' };
}

/**
 * The postmaster that really runs on this cluster. A process id alone proves nothing: after a crash or in a new
 * container the number may belong to another program by now.
 */
export function livePostmaster(clusterDirectory: string): Postmaster | undefined {
  const postmaster = readPostmaster(clusterDirectory);
  if (!postmaster || !isRunning(postmaster.pid)) return undefined;
  return isPostmasterOf({ pid: postmaster.pid, clusterDirectory }) ? postmaster : undefined;
}

/** Whether a process of an account that could run this cluster has the number. EPERM means another account's process. */
function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return process.platform === 'win32' && (error as NodeJS.ErrnoException).code === 'EPERM';
  }
}

function isPostmasterOf({ pid, clusterDirectory }: { pid: number; clusterDirectory: string }): boolean {
  if (process.platform === 'win32') return true;
  try {
    // A postmaster's working directory is its cluster. ps is missing in slim containers, /proc on macOS.
    if (existsSync('/proc/self/cwd')) return readlinkSync(`/proc/${pid}/cwd`) === realpathSync(clusterDirectory);
    return execFileSync('ps', ['-ww', '-o', 'command=', '-p', String(pid)], { encoding: 'utf8' }).includes(clusterDirectory);
  } catch {
    return false;
  }
}

/**
 * PostgreSQL itself sees through a process id that is free, but not through one that another program of the same
 * account has got since. The number is replaced and the file kept, because it also names the shared memory by which
 * PostgreSQL finds backends that outlived their postmaster.
 */
export function disarmRecycledProcessId(clusterDirectory: string): void {
  const postmaster = readPostmaster(clusterDirectory);
  if (!postmaster || !isRunning(postmaster.pid)) return;
  if (isPostmasterOf({ pid: postmaster.pid, clusterDirectory })) return;
  const path = join(clusterDirectory, 'postmaster.pid');
  const content = readIfThere(path);
  // Another start may have replaced the file in the meantime; then it is no longer ours to judge.
  if (!content?.startsWith(`${postmaster.pid}\n`)) return;
  writeFileSync(path, content.replace(/^\d+/, String(IMPOSSIBLE_PID)));
}

/**
 * Ends the server when this process does, however it ends: the shell's standard input is a pipe that only we hold,
 * so its end of file is our death. For servers whose data nobody wants afterwards.
 */
const SERVER_THAT_ENDS_WITH_US = '"$0" "$@" & server=$!; cat >/dev/null; kill -INT $server; wait $server; rm -rf "$DISCARD"';

export type PostmasterStart = {
  readonly settings: Readonly<Record<string, string>>;
  /** Directory to remove when this process has died without stopping the server; `undefined` lets the server live on. */
  readonly discardWhenAbandoned: string | undefined;
};

/** Spawns a server in a session of its own (Ctrl-C in our terminal is not its business) and reports its early end. */
export function spawnPostmaster(cluster: Cluster, start: PostmasterStart): { failure: () => string | undefined } {
  const logFile = join(cluster.serverDirectory, 'server.log');
  // Replaced, not appended to: the log shows one run, and one left by root does not block an ordinary user.
  if (existsSync(logFile)) renameSync(logFile, join(cluster.serverDirectory, 'previous-server.log'));
  const log = openSync(logFile, 'a', 0o600);
  const { postgres } = cluster.binaries;
  const flags = Object.entries(start.settings).flatMap(([name, value]) => ['-c', `${name}=${value}`]);
  const serverFlags = ['-D', cluster.clusterDirectory, ...flags];
  const isWatched = start.discardWhenAbandoned !== undefined && process.platform !== 'win32';
  const child = spawn(
    isWatched ? '/bin/sh' : postgres,
    isWatched ? ['-c', SERVER_THAT_ENDS_WITH_US, postgres, ...serverFlags] : serverFlags,
    {
      ...asAccount(cluster.account),
      cwd: cluster.serverDirectory,
      env: { ...serverEnvironment(), DISCARD: start.discardWhenAbandoned },
      stdio: [isWatched ? 'pipe' : 'ignore', log, log],
      detached: true,
    },
  );
  closeSync(log);
  let failure: string | undefined;
  child.once('error', (error) => (failure = error.message));
  child.once('exit', (code) => (failure ??= `exit code ${code}: ${readIfThere(logFile)?.trim().slice(-2000) ?? ''}`));
  child.unref();
  (child.stdin as Socket | null)?.unref();
  return { failure: () => failure };
}

/** Stops the server: sessions are cut off, transactions in flight roll back, a checkpoint is written. */
export async function stopPostmaster(cluster: Cluster): Promise<void> {
  if (!livePostmaster(cluster.clusterDirectory)) return;
  await runToEnd({
    program: cluster.binaries.pgCtl,
    flags: ['stop', '--pgdata', cluster.clusterDirectory, '--mode', 'fast', '--wait', '--timeout', '60', '--silent'],
    account: cluster.account,
    workingDirectory: cluster.serverDirectory,
  });
}

function readIfThere(path: string): string | undefined {
  try {
    return readFileSync(path, 'utf8');
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'ENOENT') return undefined;
    throw error;
  }
}
