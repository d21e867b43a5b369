import { randomBytes } from 'node:crypto';
import { migrateDatabase, prepareDatabase } from '#database/migrate';
import { databaseRoles, type DatabaseRole, type RolePasswords, type RoleUrls } from '#database/roles';
import { startTemporaryPostgres } from '#runtime/embedded-postgres';
import { TEMPLATE_NAME } from './test-server';

export type MigratedServer = {
  readonly superuserUrl: string;
  readonly passwords: RolePasswords;
  /** Connection strings on the one database, in which every migration is applied. */
  readonly urls: RoleUrls;
};

/** Runs work beside a new temporary server with one migrated database; both are gone afterwards. */
export async function withMigratedServer(work: (server: MigratedServer) => Promise<void>): Promise<void> {
  const postgres = await startTemporaryPostgres();
  try {
    const passwords = randomPasswords();
    const urls = await prepareDatabase({ superuserUrl: postgres.superuserUrl, database: TEMPLATE_NAME, passwords });
    await migrateDatabase({ ownerUrl: urls.owner });
    await work({ superuserUrl: postgres.superuserUrl, passwords, urls });
  } finally {
    await postgres.stop();
  }
}

function randomPasswords(): RolePasswords {
  return Object.fromEntries(databaseRoles.map((role) => [role, randomBytes(12).toString('hex')])) as Record<DatabaseRole, string>;
}
