import { join, resolve } from 'node:path';
import { parseArgs } from 'node:util';
import { systemClock } from '#runtime/clock';
import { readCommandConfiguration } from '#runtime/configuration';
import { configurationOrExit } from '#runtime/lifecycle';
import { dumpDatabase } from './archive/dump';
import type { Manifest } from './archive/manifest';
import { openDatabases } from './databases';
import { CommandFailure, runCommand, say } from './failure';

const USAGE = 'npm run backup [-- --to <new directory>]';

/** `npm run backup`: copies the database, while the program runs or not. */
async function main(): Promise<void> {
  const to = readTarget(process.argv.slice(2));
  const configuration = configurationOrExit(readCommandConfiguration(process.env));
  const now = systemClock.now();
  const stamp = now.toISOString().replaceAll(':', '-').replace(/\.\d+/, '');
  const directory = resolve(to ?? join(configuration.dataDirectory, 'backups', stamp));
  // The backup role's own address is enough: this command need not know of a stronger account.
  const given = configuration.roleUrls.backup;
  if (given !== undefined) return report({ directory, manifest: await dumpDatabase({ url: given, directory, now }) });
  const databases = await openDatabases(configuration);
  try {
    report({ directory, manifest: await dumpDatabase({ url: databases.urlFor('backup'), directory, now }) });
  } finally {
    await databases.close();
  }
}

function readTarget(words: string[]): string | undefined {
  try {
    return parseArgs({ args: words, options: { to: { type: 'string' } } }).values.to;
  } catch (error) {
    throw new CommandFailure(`${(error as Error).message}\n\n${USAGE}`);
  }
}

function report({ directory, manifest }: { directory: string; manifest: Manifest }): void {
  const rowCount = manifest.tables.reduce((sum, table) => sum + table.rowCount, 0);
  say(`Backed up ${rowCount} rows of ${manifest.tables.length} tables to ${directory}`);
  say('');
  say('The master key is NOT in it. Without that key the signing keys and second factors in the backup cannot be read:');
  say('keep a copy of the file that MASTER_KEY_FILE names (embedded: keys/master.key in the data directory) in another place than the backups.');
  if (manifest.masterKeyIds.length > 0) say(`Key ids that this backup needs: ${manifest.masterKeyIds.join(', ')}`);
}

if (require.main === module) runCommand(main, USAGE);
