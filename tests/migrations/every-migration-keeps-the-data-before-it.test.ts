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
const changedOnPurpose: Readonly<Record<string, readonly string[]>> = {
  // Its rows are told from the events anew, for both sides.
  '20261126040000_custody_confirmation': ['public.custody_unconfirmed'],
  // Digests from which numbers could be guessed are gone; see below.
  '20261126230100_digests_without_key': ['public.idempotency_record'],
  // It notes downloads of files that were made before, and the trail says so.
  '20261126220000_downloaded_payment_files': ['public.audit_entry'],
  // Reasons that the program gave are gone, and the trail says so; those of people stay, see below.
  '20261130260000_prices_entered_again': ['public.meter_value_correction', 'public.audit_entry'],
  // It notes out of whose box funds were filled before, and the trail says so.
  '20261130260100_box_of_fillings': ['public.audit_entry'],
};

/** Columns that a migration takes away on purpose, by table; all else of the rows must come through. */
const droppedOnPurpose: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  // Who answers for a place is in a table of its own from then on; see below.
  '20261127100000_who_answers_for_a_key_place': { 'public.key_place': 'responsible_person_id' },
  // Events have it, and the evidence log.
  '20261127110000_breaches_of_a_stay': { 'public.custody': 'breach_due_at' },
  // It goes by another name: a payee has no account.
  '20261128120000_payee_mails': { 'public.statement_mail': 'account_id' },
  // Each count says it of itself.
  '20261130220000_where_each_box_was_counted': { 'public.collection': 'counted_at_machine' },
};

describe('every migration, run from the version before it with data', () => {
  it.each(names)('%s has rows of its own version to hand to the next one', (name) => {
    expect(existsSync(dataFile(name))).toBe(true);
  });

  // One database from the first version to the newest: each migration meets the rows of all versions before it.
  let db: TestDatabase;
  beforeAll(async () => (db = await createTestDatabase({ contents: 'empty' })));
  afterAll(() => db.drop());

  it.each(names)('%s keeps every row, and takes its own', async (name) => {
    const rowsBefore = await readRows(db);
    const { applied } = await migrateDatabase({ ownerUrl: db.urls.owner, upTo: name });
    expect(applied).toEqual([name]);
    const rowsAfter = await readRows(db);
    for (const [table, rows] of rowsBefore) {
      if (changedOnPurpose[name]?.includes(table) === true) continue;
      const dropped = droppedOnPurpose[name]?.[table];
      const kept = rows.map((row) => Object.fromEntries(Object.entries(row).filter(([column]) => column !== dropped)));
      expect({ table, rows: rowsAfter.get(table) }).toEqual({ table, rows: kept.map((row) => expect.objectContaining(row)) });
    }
    await onConnection(db.urls.owner, async (client) => {
      for (const tenant of tenants) await fill(client, { tenant, sql: readFileSync(dataFile(name), 'utf8') });
    });
    expect(tablesWithoutRows(await readRows(db))).toEqual([]);
  });

  it('has as the first to answer for a key place whoever answered for it before that was dated', async () => {
    const first = (await readRows(db)).get('public.key_place_responsible')?.filter((row) => row['started_at'] === null);
    expect(first).toEqual(tenants.map(() => expect.objectContaining({ person_id: '01890000-0000-7000-8000-000000000014', recorded_at: expect.stringContaining('2026-01-02') as unknown }) as unknown));
  });

  it('takes from the corrections of a price the reason that the program gave, and none that somebody gave', async () => {
    const corrections = (await readRows(db)).get('public.meter_value_correction') ?? [];
    const before = corrections.filter((row) => row['entry'] === 0).map((row) => [row['round'], row['withdrawn'], row['reason']]);
    const ofOne = [[1, false, 'Mistyped'], [2, true, 'It never changed'], [3, false, null]];
    expect(before).toEqual(tenants.flatMap(() => ofOne));
  });

  it('leaves of the answers to repeated requests all but those whose digests could be guessed', async () => {
    const keys = (await readRows(db)).get('public.idempotency_record')?.map((row) => String(row['key'])) ?? [];
    expect([...new Set(keys)].sort()).toEqual(['key-1', 'key-under-a-key']);
  });
});

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
