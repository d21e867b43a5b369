import { escapeIdentifier, escapeLiteral } from 'pg';
import { scramVerifier } from './scram';

/**
 * owner runs migrations; app serves requests and jobs under row security; relay sees that work waits, not what it is;
 * reader looks at one tenant at a time and writes nothing; backup reads everything.
 */
export const databaseRoles = ['owner', 'app', 'relay', 'reader', 'backup'] as const;
export type DatabaseRole = (typeof databaseRoles)[number];
export type RolePasswords = Readonly<Record<DatabaseRole, string>>;
/** Connection string per role. Each holds a password: never log one. */
export type RoleUrls = Readonly<Record<DatabaseRole, string>>;

export const roleName = (role: DatabaseRole): string => `latchledger_${role}`;

/**
 * Times after which PostgreSQL gives up on behalf of a role. A lock that is not had within seconds is held by work that
 * should be waited for by trying again, not by holding a connection of a small pool.
 */
const roleSettings: Readonly<Record<DatabaseRole, Readonly<Record<string, string>>>> = {
  owner: { lock_timeout: '10s' },
  // random_page_cost: foreign keys are checked with plans that a session keeps. At the default of spinning disks, a check against a
  // table that is still small is planned as a scan of it, and stays one when the table has grown.
  app: { random_page_cost: '1.1', lock_timeout: '5s', statement_timeout: '60s', idle_in_transaction_session_timeout: '60s' },
  relay: { lock_timeout: '2s', statement_timeout: '10s', idle_in_transaction_session_timeout: '60s' },
  reader: { lock_timeout: '2s', statement_timeout: '120s', default_transaction_read_only: 'on' },
  backup: { lock_timeout: '10s', default_transaction_read_only: 'on' },
};

/**
 * SQL that creates the roles and hands a database to them; harmless to run again. Needs a superuser, or on a managed
 * server an administrator with CREATEROLE and BYPASSRLS, for whom it is printed.
 */
export function roleSetupSql(setup: { readonly database: string; readonly passwords: RolePasswords }): string {
  const database = escapeIdentifier(setup.database);
  const everyone = databaseRoles.map(roleName).join(', ');
  return [
    ...databaseRoles.flatMap((role) => [createRoleSql(role), ...alterRoleSql(role, setup.passwords[role])]),
    // An administrator who is no superuser must be a member of the role to which the database is given.
    `DO $$ BEGIN IF NOT (SELECT rolsuper FROM pg_roles WHERE rolname = current_user) THEN EXECUTE format('GRANT ${roleName('owner')} TO %I', current_user); END IF; END $$;`,
    `ALTER DATABASE ${database} OWNER TO ${roleName('owner')};`,
    `REVOKE ALL ON DATABASE ${database} FROM PUBLIC;`,
    `GRANT CONNECT ON DATABASE ${database} TO ${everyone};`,
  ].join('\n');
}

function createRoleSql(role: DatabaseRole): string {
  // A dump must see the rows of every tenant, so the backup role alone stands outside row security.
  const attributes = role === 'backup' ? ' BYPASSRLS' : '';
  return `DO $$ BEGIN CREATE ROLE ${roleName(role)}${attributes}; EXCEPTION WHEN duplicate_object THEN NULL; END $$;`;
}

function alterRoleSql(role: DatabaseRole, password: string): string[] {
  const name = roleName(role);
  const settings = Object.entries({ timezone: 'UTC', ...roleSettings[role] });
  return [
    `ALTER ROLE ${name} LOGIN PASSWORD ${escapeLiteral(scramVerifier(password))};`,
    ...settings.map(([setting, value]) => `ALTER ROLE ${name} SET ${setting} = ${escapeLiteral(value)};`),
  ];
}

/** The same server and options, another role and database. */
export function urlForRole(place: {
  readonly serverUrl: string;
  readonly database: string;
  readonly role: DatabaseRole;
  readonly password: string;
}): string {
  const url = new URL(place.serverUrl);
  url.username = roleName(place.role);
  url.password = encodeURIComponent(place.password);
  url.pathname = `/${encodeURIComponent(place.database)}`;
  return url.toString();
}

export function urlsForRoles(place: {
  readonly serverUrl: string;
  readonly database: string;
  readonly passwords: RolePasswords;
}): RoleUrls {
  const urlFor = (role: DatabaseRole): string => urlForRole({ ...place, role, password: place.passwords[role] });
  return {
    owner: urlFor('owner'),
    app: urlFor('app'),
    relay: urlFor('relay'),
    reader: urlFor('reader'),
    backup: urlFor('backup'),
  };
}
