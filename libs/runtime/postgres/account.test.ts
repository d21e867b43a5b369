import { chmodSync, mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { accountForExistingCluster, accountForNewCluster, isReachableBy } from './account';

let directory: string;
beforeEach(() => {
  directory = mkdtempSync(join(tmpdir(), 'latchledger-account-'));
  chmodSync(directory, 0o755);
});
afterEach(() => rmSync(directory, { recursive: true, force: true }));

function passwordFile(...lines: string[]): string {
  const path = join(directory, 'passwd');
  writeFileSync(path, `${lines.join('\n')}\n`);
  return path;
}

describe('accountForNewCluster', () => {
  const root = 'root:x:0:0:root:/root:/bin/bash';
  const nobody = 'nobody:x:65534:65533:nobody:/nonexistent:/usr/sbin/nologin';
  const postgres = 'postgres:x:101:104::/var/lib/postgresql:/bin/bash';

  it('is the account itself for anybody but root', () => {
    expect(accountForNewCluster({ uid: 1000, passwordFile: passwordFile(root, postgres) })).toBeUndefined();
    expect(accountForNewCluster({ uid: undefined, passwordFile: '/nowhere' })).toBeUndefined();
  });

  it('is postgres for root, whatever the order of the entries', () => {
    expect(accountForNewCluster({ uid: 0, passwordFile: passwordFile(root, nobody, postgres) })).toEqual({ uid: 101, gid: 104 });
  });

  it('is nobody for root where there is no postgres', () => {
    expect(accountForNewCluster({ uid: 0, passwordFile: passwordFile(root, nobody) })).toEqual({ uid: 65534, gid: 65533 });
  });

  it('tells root what to do where there is neither', () => {
    expect(() => accountForNewCluster({ uid: 0, passwordFile: passwordFile(root) })).toThrow('DATABASE_URL');
  });
});

describe('accountForExistingCluster', () => {
  const ownUid = process.getuid?.() ?? 0;

  it('refuses a cluster of another account and says how to go on', () => {
    expect(() => accountForExistingCluster(directory, ownUid + 1)).toThrow('belongs to another account');
  });

  it('refuses to run a cluster that root owns as root', () => {
    if (ownUid === 0) expect(() => accountForExistingCluster(directory, 0)).toThrow('belongs to root');
    else expect(accountForExistingCluster(directory, 0)).toEqual({ uid: ownUid, gid: process.getgid?.() });
  });
});

describe('isReachableBy', () => {
  const stranger = { uid: 54_321, gid: 54_321 };

  it('follows the whole way, also to what does not exist yet', () => {
    mkdirSync(join(directory, 'open'), { mode: 0o755 });
    expect(isReachableBy(stranger, join(directory, 'open', 'not', 'yet'))).toBe(true);
    chmodSync(directory, 0o700);
    expect(isReachableBy(stranger, join(directory, 'open', 'not', 'yet'))).toBe(false);
    expect(isReachableBy(undefined, join(directory, 'open'))).toBe(true);
  });

  it('judges the owner and the group by their own bits', () => {
    const owner = { uid: process.getuid?.() ?? 0, gid: 54_321 };
    const member = { uid: 54_321, gid: process.getgid?.() ?? 0 };
    chmodSync(directory, 0o070);
    expect([isReachableBy(owner, directory), isReachableBy(member, directory)]).toEqual([false, true]);
    chmodSync(directory, 0o701);
    expect([isReachableBy(owner, directory), isReachableBy(member, directory)]).toEqual([true, false]);
  });
});
