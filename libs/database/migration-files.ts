import { createHash } from 'node:crypto';
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { dirname, join } from 'node:path';

export type MigrationFile = {
  /** Folder name, e.g. `20261125100000_tenancy_foundation`; names sort in the order in which they apply. */
  readonly name: string;
  readonly sql: string;
  /** SHA-256 of the file, in hex, as the Prisma command line records it. */
  readonly checksum: string;
};

/** Reads every migration, first to last. */
export function readMigrationFiles(directory: string = findMigrationsDirectory()): MigrationFile[] {
  return readdirSync(directory, { withFileTypes: true })
    .filter((entry) => entry.isDirectory() && /^\d{14}_\w+$/.test(entry.name))
    .map((entry) => readMigrationFile({ directory, name: entry.name }))
    .sort((one, other) => (one.name < other.name ? -1 : 1));
}

function readMigrationFile(place: { directory: string; name: string }): MigrationFile {
  const bytes = readFileSync(join(place.directory, place.name, 'migration.sql'));
  return {
    name: place.name,
    sql: bytes.toString('utf8'),
    checksum: createHash('sha256').update(bytes).digest('hex'),
  };
}

/** prisma/migrations of this checkout: the compiled program lies one folder deeper than its sources. */
function findMigrationsDirectory(): string {
  let folder = __dirname;
  while (dirname(folder) !== folder) {
    const candidate = join(folder, 'prisma', 'migrations');
    if (existsSync(candidate)) return candidate;
    folder = dirname(folder);
  }
  throw new Error(`No folder prisma/migrations above ${__dirname}.`);
}
