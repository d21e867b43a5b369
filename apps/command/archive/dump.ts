import { createWriteStream, existsSync, mkdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { pipeline } from 'node:stream/promises';
import { createGzip } from 'node:zlib';
import type { Client } from 'pg';
import { to as copyTo } from 'pg-copy-streams';
import { onConnection } from '../databases';
import { CommandFailure } from '../failure';
import { digesting } from './digest';
import { MANIFEST_FILE, type DumpedTable, type Manifest } from './manifest';
import { copyOut, fixTextForm, readMasterKeyIds, readSequences, readTables, type TableShape } from './tables';

/**
 * Writes all tables into a new directory, as they were at one moment; the program may go on working meanwhile.
 *
 * `url`: role backup, which reads the rows of every operator and writes nothing. The directory appears under its name
 * when it is complete. The master key is not in the database and therefore not in the backup.
 */
export async function dumpDatabase(request: { readonly url: string; readonly directory: string; readonly now: Date }): Promise<Manifest> {
  const { directory } = request;
  if (existsSync(directory)) throw new CommandFailure(`${directory} exists already; a backup is never written over.`);
  const unfinished = `${directory}.unfinished`;
  mkdirSync(dirname(directory), { recursive: true });
  rmSync(unfinished, { recursive: true, force: true });
  mkdirSync(unfinished, { mode: 0o700 });

  try {
    const manifest = await onConnection(request.url, (client) => dumpInto({ client, directory: unfinished, now: request.now }));
    writeFileSync(join(unfinished, MANIFEST_FILE), `${JSON.stringify(manifest, null, 2)}\n`, { mode: 0o600 });
    renameSync(unfinished, directory);
    return manifest;
  } catch (error) {
    rmSync(unfinished, { recursive: true, force: true });
    throw error;
  }
}

async function dumpInto({ client, directory, now }: { client: Client; directory: string; now: Date }): Promise<Manifest> {
  await fixTextForm(client);
  // All tables from one snapshot: money and its journal entry, both or neither.
  await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY');
  const tables: DumpedTable[] = [];
  for (const table of await readTables(client)) tables.push(await dumpTable({ client, directory, table }));
  const migrations = await client.query<Manifest['migrations'][number]>(
    'SELECT migration_name AS name, checksum FROM _prisma_migrations WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL ORDER BY migration_name',
  );
  const masterKeyIds = await readMasterKeyIds(client);
  const server = await client.query<{ version: string }>(`SELECT current_setting('server_version') AS version`);
  const sequences = await readSequences(client);
  await client.query('COMMIT');
  return {
    format: 'latchledger backup',
    version: 1,
    createdAt: now.toISOString(),
    serverVersion: server.rows[0]?.version ?? '',
    migrations: migrations.rows,
    masterKeyIds,
    tables,
    sequences,
  };
}

async function dumpTable({ client, directory, table }: { client: Client; directory: string; table: TableShape }): Promise<DumpedTable> {
  const { schema, name, columns } = table;
  const file = `${schema}.${name}.copy.gz`;
  const rows = client.query(copyTo(copyOut(table)));
  const passed = digesting();
  await pipeline(rows, passed.stream, createGzip(), createWriteStream(join(directory, file), { mode: 0o600 }));
  return { schema, name, columns: [...columns], file, rowCount: rows.rowCount, digest: passed.digest() };
}
