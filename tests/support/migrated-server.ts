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

/** Runs work beside a new temporary server with nothing in it; gone afterwards. */
export async function withEmptyServer(work: (superuserUrl: string) => Promise<void>): Promise<void> {
  const postgres = await startTemporaryPostgres();
  try {
    await work(postgres.superuserUrl);
  } finally {
    await postgres.stop();
  }
}

/** The same with one migrated database. */
export function withMigratedServer(work: (server: MigratedServer) => Promise<void>): Promise<void> {
  return withEmptyServer(async (superuserUrl) => {
    const passwords = randomPasswords();
    const urls = await prepareDatabase({ superuserUrl, database: TEMPLATE_NAME, passwords });
    await migrateDatabase({ ownerUrl: urls.owner });
    await work({ superuserUrl, passwords, urls });
  });
}

export function randomPasswords(): RolePasswords {
  return Object.fromEntries(databaseRoles.map((role) => [role, randomBytes(12).toString('hex')])) as Record<DatabaseRole, string>;
}
