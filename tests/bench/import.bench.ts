/**
 * A file of 100,000 counts with the readings of two meters each, from its bytes to accepted collections with their journal, variances and
 * flags, against COPY of the rows that come of it into the same tables with the same constraints, by a role that row
 * security does not hold.
 */
import { Readable } from 'node:stream';
import { noSecrets, type Backoffice } from '#backoffice/dependencies';
import { acceptImport } from '#backoffice/import/accept';
import { stageImport } from '#backoffice/import/stage';
import { closeDatabase, createDatabase } from '#database/tenant';
import { newId } from '#runtime/ids';
import { onConnection } from '#tests/support/connection';
import { withMigratedServer, type MigratedServer } from '#tests/support/migrated-server';
import { writeMonth } from '#tests/support/month-fixture';
import { cloneDatabase, copyOver } from './copy-floor';

export type ImportBench = {
  readonly counts: number;
  readonly rowsWritten: number;
  readonly stageSeconds: number;
  readonly acceptSeconds: number;
  readonly copySeconds: number;
  /** Both together over COPY; below 1 would be faster than the floor. */
  readonly ratio: number;
};

const SITES = Number(process.env['IMPORT_SITES'] ?? 6250);
const MACHINES_PER_SITE = 4;
const DAYS = ['2025-10-07', '2025-10-14', '2025-10-21', '2025-10-28'];
/** What an accepted file leaves behind, in the order of foreign keys. */
const WRITTEN = ['import_file', 'import_row', 'period', 'collection', 'box_count', 'meter_reading', 'journal_account', 'journal_entry', 'journal_posting', 'cash_variance', 'variance_series', 'variance_flag', 'variance_flag_event', 'outbox'] as const;

export async function benchImport(): Promise<ImportBench> {
  let bench: ImportBench | undefined;
  await withMigratedServer(async (server) => {
    bench = await importInto(server);
  });
  if (bench === undefined) throw new Error('nothing was measured');
  return bench;
}

async function importInto(server: MigratedServer): Promise<ImportBench> {
  const books = await cloneDatabase(server, { name: 'bench_import', template: new URL(server.urls.app).pathname.slice(1) });
  const empty = createDatabase({ appUrl: books.app, poolSize: 1 });
  const { tenantId } = await writeMonth({ name: 'bench_import', database: empty, urls: books, drop: () => Promise.resolve() }, { sites: SITES, machinesPerSite: MACHINES_PER_SITE, collectionsPerSite: 0 });
  await closeDatabase(empty);
  await fitBoards(books.superuser, tenantId);
  const floor = await cloneDatabase(server, { name: 'bench_import_floor', template: 'bench_import' });

  const database = createDatabase({ appUrl: books.app, poolSize: 1 });
  const deps: Backoffice = { database, clock: { now: () => new Date('2025-11-05T12:00:00Z') }, newId, publicUrl: 'http://127.0.0.1', ...noSecrets };
  const caller = { kind: 'system', id: 'bench', tenantId } as const;
  const bytes = fileOfCounts();
  const startedAt = performance.now();
  const staged = await stageImport(deps, caller, { fileName: 'counts.csv', bytes: Readable.from([bytes]) });
  if (!staged.ok) throw new Error(staged.failure.code);
  const stagedAt = performance.now();
  const accepted = await acceptImport(deps, caller, staged.value.id);
  if (!accepted.ok) throw new Error(`${accepted.failure.code} ${accepted.failure.detail ?? ''}`);
  const acceptedAt = performance.now();
  await closeDatabase(database);

  // The database takes no counts for a collection that is accepted: the floor gets them as they were before, and saves accepting them.
  await onConnection(books.superuser, async (client) => {
    await client.query('SET session_replication_role = replica');
    // What the floor has already, from its cloning; nobody may delete readings, so the guard is taken off first.
    await client.query('ALTER TABLE meter_reading DISABLE TRIGGER ALL');
    await client.query(`DELETE FROM meter_reading WHERE occasion = 'board-fitted'`);
    await client.query(`UPDATE collection SET state = 'counted', accepted_at = NULL, accepted_by = NULL`);
  });
  const { copySeconds, rowsWritten } = await copyOver({ from: books.superuser, to: floor.superuser, tables: WRITTEN, tenantId });
  const [stageSeconds, acceptSeconds] = [(stagedAt - startedAt) / 1000, (acceptedAt - stagedAt) / 1000];
  return { counts: SITES * MACHINES_PER_SITE * DAYS.length, rowsWritten, stageSeconds, acceptSeconds, copySeconds, ratio: (stageSeconds + acceptSeconds) / copySeconds };
}

/** A board in each machine, with a coin and a note meter that stood at 0 when it was fitted. */
async function fitBoards(url: string, tenantId: string): Promise<void> {
  await onConnection(url, async (client) => {
    await client.query('SET session_replication_role = replica');
    const fittedAt = '2025-10-01T12:00:00Z';
    await client.query(`INSERT INTO counter_board (tenant_id, id, machine_id, label, fitted_at, created_at) SELECT tenant_id, gen_random_uuid(), id, 'Board', $2, $2 FROM machine WHERE tenant_id = $1`, [tenantId, fittedAt]);
    await client.query(
      `INSERT INTO meter (tenant_id, id, board_id, machine_id, label, tender, digits, capacity, currency, most_per_hour)
       SELECT b.tenant_id, gen_random_uuid(), b.id, b.machine_id, kind.label, kind.tender, 8, 100000000, 'USD', 1000
         FROM counter_board b CROSS JOIN (VALUES ('Coins', 'coin'), ('Notes', 'note')) AS kind (label, tender) WHERE b.tenant_id = $1`,
      [tenantId],
    );
    await client.query(
      `INSERT INTO meter_value (tenant_id, meter_id, effective_at, unit_value_minor, recorded_at, recorded_by)
       SELECT tenant_id, id, $2, CASE tender WHEN 'coin' THEN 25 ELSE 100 END, $2, 'system:bench' FROM meter WHERE tenant_id = $1`,
      [tenantId, fittedAt],
    );
    await client.query(
      `INSERT INTO meter_reading (tenant_id, id, meter_id, machine_id, capacity, happened_at, phase, occasion, value, recorded_at, recorded_by)
       SELECT tenant_id, gen_random_uuid(), id, machine_id, capacity, $2, 'only', 'board-fitted', 0, $2, 'system:bench' FROM meter WHERE tenant_id = $1`,
      [tenantId, fittedAt],
    );
    await client.query('ANALYZE');
  });
}

/** Counts that differ from their meters by a quarter, one in a hundred by forty dollars. */
function fileOfCounts(): Buffer {
  const lines = ['site,collected_on,machine,coin,note,readings'];
  const [quarters, notes] = [new Map<number, number>(), new Map<number, number>()];
  for (const day of DAYS) {
    for (let machine = 1; machine <= SITES * MACHINES_PER_SITE; machine += 1) {
      const counted = 160 + ((machine * 7 + Number(day.slice(8)) * 13) % 400);
      const off = machine % 100 === 0 ? 160 : machine % 2;
      quarters.set(machine, (quarters.get(machine) ?? 0) + counted + off);
      notes.set(machine, (notes.get(machine) ?? 0) + 60);
      const readings = `Coins=${String(quarters.get(machine)).padStart(8, '0')}|Notes=${String(notes.get(machine)).padStart(8, '0')}`;
      lines.push(`S-${Math.ceil(machine / MACHINES_PER_SITE)},${day},M-${machine},${(counted / 4).toFixed(2)},60.00,${readings}`);
    }
  }
  return Buffer.from(`${lines.join('\n')}\n`);
}
