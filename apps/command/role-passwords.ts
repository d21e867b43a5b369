import { randomBytes } from 'node:crypto';
import { chmodSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { databaseRoles, type DatabaseRole, type RolePasswords } from '#database/roles';

/** Reads the passwords of the database roles from their file, and makes the file the first time. Only its owner may read it. */
export function rememberedRolePasswords(path: string): RolePasswords {
  mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
  try {
    writeFileSync(path, `${JSON.stringify(newRolePasswords(), null, 2)}\n`, { mode: 0o600, flag: 'wx' });
    chmodSync(path, 0o600);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  }
  return JSON.parse(readFileSync(path, 'utf8')) as RolePasswords;
}

function newRolePasswords(): RolePasswords {
  return Object.fromEntries(databaseRoles.map((role) => [role, randomBytes(24).toString('base64url')])) as Record<DatabaseRole, string>;
}
