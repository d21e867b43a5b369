import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Client } from 'pg';
import { migrateDatabase } from '#database/migrate';
import { readMigrationFiles } from '#database/migration-files';
import { onConnection } from '#tests/support/connection';
import { createTestDatabase, type TestDatabase } from '#tests/support/database';

const names = readMigrationFiles().map((file) => file.name);
const tenants = ['0189a000-0000-7000-8000-00000000000a', '0189b000-0000-7000-8000-00000000000b'];
const dataFile = (name: string): string => join(__dirname, 'data', `${name}.sql`);

/**
 * Rows that a migration changes on purpose: table and what its rows must then be. Whoever writes such a migration says so
 * here; everything not named must come through with every column it had.
 */
const changedOnPurpose: Readonly<Record<string, readonly string[]>> = {};

describe('every migration, run from the version before it with data', () => {
  it.each(names)('%s has rows of its own version to hand to the next one', (name) => {
    expect(existsSync(dataFile(name))).toBe(true);
  });

  it.each(names.slice(1).map((name, index) => ({ name, before: names[index] ?? '' })))('$name keeps every row', async ({ name, before }) => {
    const db = await createTestDatabase({ contents: 'empty' });
    try {
      await fillUpTo(db, before);
      const rowsBefore = await readRows(db);
      expect(tablesWithoutRows(rowsBefore)).toEqual([]);

      const { applied } = await migrateDatabase({ ownerUrl: db.urls.owner, upTo: name });
      expect(applied).toEqual([name]);

      const rowsAfter = await readRows(db);
      for (const [table, rows] of rowsBefore) {
        if (changedOnPurpose[name]?.includes(table) === true) continue;
        expect({ table, rows: rowsAfter.get(table) }).toEqual({ table, rows: rows.map((row) => expect.objectContaining(row)) });
      }
    } finally {
      await db.drop();
    }
  });

  it('the newest version takes its rows, too', async () => {
    const db = await createTestDatabase({ contents: 'empty' });
    try {
      await fillUpTo(db, names.at(-1) ?? '');
      expect(tablesWithoutRows(await readRows(db))).toEqual([]);
    } finally {
      await db.drop();
    }
  });
});

/** Migrates step by step and puts in each version's rows as soon as its tables are there. */
async function fillUpTo(db: TestDatabase, last: string): Promise<void> {
  for (const name of names.filter((candidate) => candidate <= last)) {
    await migrateDatabase({ ownerUrl: db.urls.owner, upTo: name });
    await onConnection(db.urls.owner, async (client) => {
      for (const tenant of tenants) await fill(client, { tenant, sql: readFileSync(dataFile(name), 'utf8') });
    });
  }
}

async function fill(client: Client, data: { tenant: string; sql: string }): Promise<void> {
  await client.query('BEGIN');
  await client.query(`SELECT set_config('app.tenant', $1, true), set_config('app.actor', 'system:test', true)`, [data.tenant]);
  await client.query(data.sql);
  await client.query('COMMIT');
}

type Rows = Map<string, Record<string, unknown>[]>;

async function readRows(db: TestDatabase): Promise<Rows> {
  return onConnection(db.urls.superuser, async (client) => {
    const { rows: tables } = await client.query<{ name: string }>(
      `SELECT concat(schemaname, '.', tablename) AS name FROM pg_tables
        WHERE schemaname IN ('public', 'identity', 'app') AND tablename <> '_prisma_migrations' ORDER BY 1`,
    );
    const all: Rows = new Map();
    for (const { name } of tables) {
      const { rows } = await client.query<{ row: Record<string, unknown> }>(`SELECT to_jsonb(t) AS row FROM ${name} t ORDER BY t`);
      all.set(name, rows.map(({ row }) => row));
    }
    return all;
  });
}

function tablesWithoutRows(rows: Rows): string[] {
  return [...rows].filter(([, tableRows]) => tableRows.length < tenants.length).map(([table]) => table);
}
