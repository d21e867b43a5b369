import { join } from 'node:path';
import { Client, escapeIdentifier } from 'pg';
import { migrateDatabase, prepareDatabase, type MigrationReport } from '#database/migrate';
import { urlsForRoles, type DatabaseRole, type RolePasswords, type RoleUrls } from '#database/roles';
import type { CommandConfiguration } from '#runtime/configuration';
import { startEmbeddedPostgres } from '#runtime/embedded-postgres';
import { migrateQueue } from '#runtime/queue';
import { CommandFailure } from './failure';
import { rememberedRolePasswords } from './role-passwords';

const DATABASE_NAME = 'latchledger';

/** The database that a command works on, with the connection strings that it may use. Each holds a password. */
export type Databases = {
  readonly isEmbedded: boolean;
  readonly urlFor: (role: DatabaseRole) => string;
  /** On the program's own database; throws where the configured account is no superuser. */
  readonly superuserUrl: () => string;
  /** Brings tables and queue up to date. */
  readonly migrate: (options?: { readonly upTo?: string }) => Promise<MigrationReport>;
  /** Drops the database with all that is in it and creates it anew, without tables. */
  readonly recreate: () => Promise<void>;
  /** Leaves an embedded server; it stops when nobody else uses it. */
  readonly close: () => Promise<void>;
};

export type OpenOptions = {
  readonly log?: (message: string) => void;
  /** Called once when an embedded server goes away under the command. */
  readonly onLost?: (reason: Error) => void;
  /**
   * For commands that set an installation up: creates database and roles on a server, and sets the roles' passwords.
   * The others leave passwords alone, which running processes are using.
   */
  readonly setsUp?: true;
};

/**
 * Opens the embedded database, or the server of DATABASE_URL. Where the account there is a superuser, the roles' own
 * addresses need not be given: their passwords are made up once and remembered. Where it is not, it has to be the
 * owner, and the addresses of the other roles that a command uses have to be given.
 */
export async function openDatabases(configuration: CommandConfiguration, options: OpenOptions = {}): Promise<Databases> {
  if (configuration.database.kind === 'server') return openServer({ configuration, url: configuration.database.url, options });
  const server = await startEmbeddedPostgres({ dataDirectory: join(configuration.dataDirectory, 'postgres'), ...options });
  try {
    const passwords = rememberedRolePasswords(passwordFile(configuration));
    const preparation = { superuserUrl: server.superuserUrl, database: DATABASE_NAME, passwords };
    return databases({ isEmbedded: true, urls: await prepareDatabase(preparation), preparation, close: server.stop });
  } catch (error) {
    await server.stop();
    throw error;
  }
}

async function openServer(asked: { configuration: CommandConfiguration; url: string; options: OpenOptions }): Promise<Databases> {
  const { configuration, url } = asked;
  const close = async (): Promise<void> => undefined;
  const name = decodeURIComponent(new URL(url).pathname.slice(1));
  const reachable = await reachableAs(url);
  if (!reachable.isSuperuser) {
    return databases({ isEmbedded: false, urls: { ...configuration.roleUrls, owner: url }, preparation: undefined, close });
  }
  const preparation = { superuserUrl: onDatabase(url, 'postgres'), database: name, passwords: passwordsFor(configuration) };
  const made = asked.options.setsUp
    ? await prepareDatabase(preparation)
    : urlsForRoles({ serverUrl: url, database: name, passwords: preparation.passwords });
  return databases({ isEmbedded: false, urls: { ...made, ...configuration.roleUrls }, preparation, close });
}

/** A superuser may name a database that does not exist yet; then `postgres`, which every server has, is the way in. */
async function reachableAs(url: string): Promise<{ isSuperuser: boolean }> {
  const attempt = async (address: string): Promise<{ isSuperuser: boolean }> => {
    const { rows } = await onConnection(address, (client) =>
      client.query<{ super: boolean }>('SELECT rolsuper AS super FROM pg_roles WHERE rolname = current_user'),
    );
    return { isSuperuser: rows[0]?.super === true };
  };
  try {
    return await attempt(url);
  } catch (error) {
    const { code, message } = error as { code?: string; message: string };
    if (code === '3D000') return attempt(onDatabase(url, 'postgres'));
    throw new CommandFailure(`The server of DATABASE_URL cannot be used: ${message || code}`);
  }
}

/** Of a role whose address was given, its password there; of the others, remembered ones. */
function passwordsFor(configuration: CommandConfiguration): RolePasswords {
  const given = Object.entries(configuration.roleUrls).flatMap(([role, url]) => {
    const password = decodeURIComponent(new URL(url).password);
    return password === '' ? [] : [[role, password] as const];
  });
  return { ...rememberedRolePasswords(passwordFile(configuration)), ...Object.fromEntries(given) };
}

function passwordFile({ dataDirectory }: CommandConfiguration): string {
  return join(dataDirectory, 'keys', 'role-passwords.json');
}

function onDatabase(url: string, name: string): string {
  const changed = new URL(url);
  changed.pathname = `/${encodeURIComponent(name)}`;
  return changed.toString();
}

type Preparation = Parameters<typeof prepareDatabase>[0];

function databases(found: {
  isEmbedded: boolean;
  urls: Partial<RoleUrls>;
  /** How the database was made; `undefined` where the account may not make one. */
  preparation: Preparation | undefined;
  close: () => Promise<void>;
}): Databases {
  const urlFor = (role: DatabaseRole): string => {
    const url = found.urls[role];
    if (url !== undefined) return url;
    const variable = `${role.toUpperCase()}_DATABASE_URL`;
    throw new CommandFailure(`${variable} is missing: DATABASE_URL is no superuser, so the address of the role latchledger_${role} must be given.`);
  };
  const preparation = (): Preparation => {
    if (found.preparation !== undefined) return found.preparation;
    throw new CommandFailure('This needs a superuser of the database server: set DATABASE_URL to one for this command.');
  };
  return {
    isEmbedded: found.isEmbedded,
    urlFor,
    superuserUrl: () => onDatabase(preparation().superuserUrl, preparation().database),
    recreate: async () => {
      const { superuserUrl, database } = preparation();
      await onConnection(superuserUrl, (client) => client.query(`DROP DATABASE ${escapeIdentifier(database)} WITH (FORCE)`));
      await prepareDatabase(preparation());
    },
    migrate: async (options = {}) => {
      const report = await migrateDatabase({ ownerUrl: urlFor('owner'), ...options });
      await migrateQueue({ ownerUrl: urlFor('owner') });
      return report;
    },
    close: found.close,
  };
}

/** Runs work on one connection of its own. */
export async function onConnection<Value>(url: string, work: (client: Client) => Promise<Value>): Promise<Value> {
  const client = new Client({ connectionString: url, application_name: 'latchledger command' });
  // A connection that breaks fails the statement under way; without a listener it would end the process as well.
  client.on('error', () => undefined);
  await client.connect();
  try {
    return await work(client);
  } finally {
    await client.end();
  }
}
