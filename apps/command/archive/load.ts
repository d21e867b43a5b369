import { createReadStream } from 'node:fs';
import { join } from 'node:path';
import { Writable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGunzip } from 'node:zlib';
import type { Client } from 'pg';
import { from as copyFrom, to as copyTo } from 'pg-copy-streams';
import { onConnection } from '../databases';
import { CommandFailure } from '../failure';
import { digesting } from './digest';
import type { DumpedTable, Manifest } from './manifest';
import { copyIn, copyOut, fixTextForm, nameOf, readTables, type TableShape } from './tables';

/**
 * Fills an empty database, which has the migrations of the backup, in one transaction: all of it, or nothing.
 *
 * `url`: a superuser, because row security refuses COPY to everybody else, and because triggers and foreign keys are
 * silenced meanwhile: the rows were judged when they were first written, and the audit trail comes with them. What has
 * arrived is read back and compared with the digests before it is committed.
 */
export async function loadDatabase(request: { readonly url: string; readonly directory: string; readonly manifest: Manifest }): Promise<void> {
  const { manifest, directory } = request;
  await onConnection(request.url, async (client) => {
    await fixTextForm(client);
    const tables = await readTables(client);
    refuseOtherTables({ manifest, tables });
    await client.query('BEGIN');
    await client.query('SET LOCAL session_replication_role = replica');
    for (const dumped of manifest.tables) await loadTable({ client, directory, dumped });
    for (const { schema, name, lastValue } of manifest.sequences) {
      if (lastValue !== null) await client.query('SELECT setval($1::regclass, $2::bigint)', [nameOf({ schema, name }), lastValue]);
    }
    for (const dumped of manifest.tables) await verifyTable({ client, dumped, shape: tables.find((table) => isSame(table, dumped)) });
    await client.query('COMMIT');
  });
}

/** Names of tables that hold rows. */
export async function tablesWithRows(url: string): Promise<string[]> {
  return onConnection(url, async (client) => {
    const found: string[] = [];
    for (const table of await readTables(client)) {
      const { rows } = await client.query<{ filled: boolean }>(`SELECT EXISTS (SELECT FROM ${nameOf(table)}) AS filled`);
      if (rows[0]?.filled) found.push(table.name);
    }
    return found;
  });
}

/**
 * Lets the relay hand every row of the outbox to the queue again: the queue is not part of a backup, so what it had not
 * done yet must be woken anew. Handlers are called twice for what was done, which they have to bear at any time.
 */
export async function wakeAllWork(url: string): Promise<void> {
  await onConnection(url, (client) => client.query('UPDATE outbox SET relayed_at = NULL'));
}

async function loadTable({ client, directory, dumped }: { client: Client; directory: string; dumped: DumpedTable }): Promise<void> {
  const target = client.query(copyFrom(copyIn(dumped)));
  const passed = digesting();
  await pipeline(createReadStream(join(directory, dumped.file)), createGunzip(), passed.stream, target).catch((error: Error) => {
    throw new CommandFailure(`${dumped.file} cannot be restored: ${error.message}`);
  });
  if (passed.digest() !== dumped.digest || target.rowCount !== dumped.rowCount) {
    throw new CommandFailure(`${dumped.file} is not what the backup's manifest says: it was changed or cut. Nothing was restored.`);
  }
}

async function verifyTable(check: { client: Client; dumped: DumpedTable; shape: TableShape | undefined }): Promise<void> {
  const { client, dumped } = check;
  const rows = client.query(copyTo(copyOut({ ...dumped, order: check.shape?.order ?? [] })));
  const passed = digesting();
  await pipeline(rows, passed.stream, new Writable({ write: (_chunk, _encoding, done) => done() }));
  if (passed.digest() !== dumped.digest) {
    throw new CommandFailure(`The rows of ${dumped.name} read back differ from those of the backup. Nothing was restored.`);
  }
}

function refuseOtherTables({ manifest, tables }: { manifest: Manifest; tables: readonly TableShape[] }): void {
  const describe = ({ schema, name, columns }: { schema: string; name: string; columns: readonly string[] }): string =>
    `${schema}.${name} (${[...columns].sort().join(', ')})`;
  const [wanted, present] = [manifest.tables.map(describe), tables.map(describe)];
  const differing = [...wanted.filter((one) => !present.includes(one)), ...present.filter((one) => !wanted.includes(one))];
  if (differing.length > 0) throw new CommandFailure(`The database's tables are not those of the backup:\n${differing.join('\n')}`);
}

function isSame(one: { schema: string; name: string }, other: { schema: string; name: string }): boolean {
  return one.schema === other.schema && one.name === other.name;
}
