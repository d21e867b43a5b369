import { chmodSync, mkdirSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/**
 * A directory of our own outside the checkout that other accounts may enter. Only root needs one: its home is
 * private, and the account that PostgreSQL runs under cannot follow it there. /var/lib keeps what it is given
 * across reboots, the temporary directory only serves where /var/lib is read-only.
 */
export function sharedStateDirectory(candidates: readonly string[] = ['/var/lib', '/var/tmp', tmpdir()]): string {
  const refusals: string[] = [];
  for (const parent of candidates) {
    const directory = join(parent, 'latchledger');
    try {
      mkdirSync(directory, { recursive: true });
      // /var/tmp and /tmp are open to all: a directory that somebody else put there first is not to be trusted.
      if (statSync(directory).uid !== process.getuid?.()) throw new Error('belongs to another account');
      chmodSync(directory, 0o711);
      return directory;
    } catch (error) {
      refusals.push(`${directory}: ${(error as Error).message}`);
    }
  }
  throw new Error(`No directory that the database's account can reach: ${refusals.join('; ')}`);
}
