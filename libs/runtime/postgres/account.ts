import { readFileSync, statSync } from 'node:fs';
import { dirname, resolve } from 'node:path';

/**
 * The account that database server programs run under.
 * `undefined` means "whoever runs this process": PostgreSQL only refuses to run as root.
 */
export type ServerAccount = { readonly uid: number; readonly gid: number } | undefined;

/** Accounts that exist on practically every Unix and own nothing of value, best first. */
const CANDIDATE_NAMES = ['postgres', 'nobody'] as const;

/**
 * Chooses the account for a new cluster. Only root has to choose: initdb and postgres refuse uid 0,
 * and initdb also refuses a uid that has no entry in the password file.
 */
export function accountForNewCluster(
  system: { uid: number | undefined; passwordFile: string } = {
    uid: process.getuid?.(),
    passwordFile: '/etc/passwd',
  },
): ServerAccount {
  if (system.uid !== 0) return undefined;
  const entries = readFileSync(system.passwordFile, 'utf8')
    .split('\n')
    .map((line) => line.split(':'));
  for (const name of CANDIDATE_NAMES) {
    const entry = entries.find((fields) => fields[0] === name);
    const [uid, gid] = [Number(entry?.[2]), Number(entry?.[3])];
    if (entry && uid > 0 && Number.isInteger(gid)) return { uid, gid };
  }
  throw new Error(
    'PostgreSQL refuses to run as root, and this system has neither a "postgres" nor a "nobody" account to run it under. ' +
      'Run this command as an ordinary user, or set DATABASE_URL to a server of your own.',
  );
}

/**
 * The account for a cluster that already exists: as root, whoever owns its files, so that a data directory first
 * made by an ordinary user stays usable for that user afterwards.
 */
export function accountForExistingCluster(
  clusterDirectory: string,
  ownUid: number | undefined = process.getuid?.(),
): ServerAccount {
  if (ownUid === undefined) return undefined;
  const owner = statSync(clusterDirectory);
  if (owner.uid === ownUid) {
    if (ownUid === 0) throw new Error(`${clusterDirectory} belongs to root, but PostgreSQL refuses to run as root.`);
    return undefined;
  }
  if (ownUid === 0) return { uid: owner.uid, gid: owner.gid };
  throw new Error(
    `${clusterDirectory} belongs to another account (uid ${owner.uid}): it was made by a start under that account or as root. ` +
      'Start in the same way as the first time, or set DATA_DIRECTORY to a directory of your own.',
  );
}

/** Whether the account may enter every directory on the way to `path`, and `path` itself if it is a directory. */
export function isReachableBy(account: ServerAccount, path: string): boolean {
  if (account === undefined) return true;
  for (let current = resolve(path); ; current = dirname(current)) {
    const entry = statSync(current, { throwIfNoEntry: false });
    if (entry && !mayExecute(account, entry)) return false;
    if (current === dirname(current)) return true;
  }
}

function mayExecute(
  account: { uid: number; gid: number },
  entry: { uid: number; gid: number; mode: number },
): boolean {
  if (entry.uid === account.uid) return (entry.mode & 0o100) !== 0;
  if (entry.gid === account.gid) return (entry.mode & 0o010) !== 0;
  return (entry.mode & 0o001) !== 0;
}

/** Options for child_process that drop to the account; supplementary groups go with it (libuv clears them). */
export function asAccount(account: ServerAccount): { uid?: number; gid?: number } {
  return account === undefined ? {} : { uid: account.uid, gid: account.gid };
}
