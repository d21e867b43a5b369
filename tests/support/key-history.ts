import type { Client } from 'pg';
import type { TestDatabase } from './database';
import { onConnection } from './connection';
import { writeMonth } from './month-fixture';

export type KeyHistorySize = {
  readonly copies: number;
  /**
   * An hour after another. The first one makes the copy; then every second copy goes out and comes back by turns, and the
   * others are handed on. Turns are counted from the end, so that the present is the same after any history.
   */
  readonly eventsPerCopy: number;
};

export type KeyHistory = { readonly tenantId: string; readonly from: Date; readonly until: Date };

/** Copies of one cut; each machine has a lock of one cut on its box, so that some twenty locks are keyed alike. */
export const COPIES_PER_CODE = 50;
const MACHINES = 2000;
const START = '2024-01-01T00:00:00Z';

/**
 * Copies that went round for years, written straight into the tables by a superuser with triggers off: a million events
 * in a minute, for measurements of what reads them. Not a way into the books.
 */
export async function writeKeyHistory(db: TestDatabase, size: KeyHistorySize): Promise<KeyHistory> {
  const { tenantId } = await writeMonth(db, { sites: MACHINES / 4, machinesPerSite: 4, collectionsPerSite: 1 });
  await onConnection(db.urls.superuser, async (client) => {
    await client.query('SET session_replication_role = replica');
    await writeThings(client, tenantId, size);
    await writeEvents(client, tenantId, size);
    await withoutSlowIndexes(client, 'custody', () => writeCustody(client, tenantId, size));
    await withoutSlowIndexes(client, 'custody_confirmation', () => writeConfirmations(client, tenantId, size));
    await client.query('SET session_replication_role = origin');
    await client.query('VACUUM ANALYZE');
  });
  const from = new Date(START);
  return { tenantId, from, until: new Date(from.getTime() + size.eventsPerCopy * 3_600_000) };
}

/** Ids that statements can compute again from a number. */
const idOf = (kind: string, number: string): string => `md5($1 || '${kind}' || ${number})::uuid`;
const codeOf = (copy: string): string => `(${copy} / ${COPIES_PER_CODE})`;
const moment = (event: string): string => `'${START}'::timestamptz + (${event}) * interval '1 hour'`;

async function writeThings(client: Client, tenantId: string, { copies }: KeyHistorySize): Promise<void> {
  const codes = Math.ceil(copies / COPIES_PER_CODE);
  const run = (text: string): Promise<unknown> => client.query(text, [tenantId]);
  await run(`INSERT INTO person (tenant_id, id, code, name, employed_by, started_on, created_at)
             SELECT $1::uuid, ${idOf('person', 'p')}, 'E-' || p, 'Person ' || p, 'operator', '2020-01-01', '${START}' FROM generate_series(0, ${peopleFor(copies) - 1}) AS p`);
  await run(`INSERT INTO person (tenant_id, id, code, name, employed_by, site_id, started_on, created_at)
             SELECT $1::uuid, ${idOf('staff', 'p')}, 'S-' || p, 'Staff ' || p, 'site', (SELECT id FROM site WHERE tenant_id = $1::uuid ORDER BY code LIMIT 1), '2020-01-01', '${START}' FROM generate_series(0, 2) AS p`);
  await run(`INSERT INTO key_store (tenant_id, id, code, name, kind, created_at) SELECT $1::uuid, ${idOf('store', 's')}, 'SAFE-' || s, 'Safe ' || s, 'safe', '${START}' FROM generate_series(0, 19) AS s`);
  await run(`INSERT INTO key_custodian (tenant_id, id, key_store_id, person_id, started_at, recorded_at)
             SELECT $1::uuid, ${idOf('custodian', 's')}, ${idOf('store', 's')}, ${idOf('person', 's')}, '${START}', '${START}' FROM generate_series(0, 19) AS s`);
  await run(`INSERT INTO key_code (tenant_id, id, code, class, outside_copies, created_at) SELECT $1::uuid, ${idOf('code', 'k')}, 'C-' || k, 'cash-box', false, '${START}' FROM generate_series(0, ${codes - 1}) AS k`);
  await run(`INSERT INTO key_copy (tenant_id, id, number, key_code_id, class, created_at)
             SELECT $1::uuid, ${idOf('copy', 'c')}, 'K-' || c, ${idOf('code', codeOf('c'))}, 'cash-box', '${START}' FROM generate_series(0, ${copies - 1}) AS c`);
  await run(`INSERT INTO machine_lock (tenant_id, id, machine_id, place, opens, class, key_code_id, fitted_at, recorded_at, recorded_by)
             SELECT tenant_id, gen_random_uuid(), id, 'cash-box', 'cash-box', 'cash-box', ${idOf('code', `(row_number() OVER (ORDER BY id) % ${codes})`)}, '${START}', '${START}', 'system:test'
               FROM machine WHERE tenant_id = $1::uuid`);
}

/** Copies of one cut go to three people and come back to one store. */
const peopleFor = (copies: number): number => Math.max(60, Math.floor(copies / 500));
const storeOf = idOf('store', `(${codeOf('c')} % 20)`);
const steps = (size: KeyHistorySize): string => `generate_series(0, ${size.copies - 1}) AS c, generate_series(0, ${size.eventsPerCopy - 1}) AS e`;
const turn = (size: KeyHistorySize, event: string): string => `(${size.eventsPerCopy} - (${event}))`;
const personOf = (size: KeyHistorySize, event = 'e'): string => idOf('person', `((${codeOf('c')} * 3 + ${turn(size, event)} % 3) % ${peopleFor(size.copies)})`);
/** Of every two-thousandth copy each receiver is one of a site, which is a breach each time. */
const AT_SITE = 'c % 2000 = 2';
const receiverOf = (size: KeyHistorySize, event = 'e'): string => `CASE WHEN ${AT_SITE} THEN ${idOf('staff', `(${turn(size, event)} % 3)`)} ELSE ${personOf(size, event)} END`;
const isOut = (size: KeyHistorySize, event = 'e'): string => `(${event} > 0 AND (c % 2 = 0 OR ${turn(size, event)} % 2 = 0))`;

/** Every two-thousandth copy is missing and found by turns, and missing at last. */
const LOST_BY_TURNS = 'c % 2000 = 4';
const isMissing = (size: KeyHistorySize): string => `(${LOST_BY_TURNS} AND e > 0 AND ${turn(size, 'e')} % 2 = 1)`;
const isFound = (size: KeyHistorySize): string => `(${LOST_BY_TURNS} AND e > 1 AND ${turn(size, 'e')} % 2 = 0)`;
/** What is given is lent for longer than it stays away, to some for less. */
const dueBack = (size: KeyHistorySize): string => `CASE WHEN ${isOut(size)} AND c % 2000 = 0 THEN ${moment('e + 0.5')} WHEN ${isOut(size)} AND NOT (${LOST_BY_TURNS}) THEN ${moment('e + 2')} END`;

async function writeEvents(client: Client, tenantId: string, size: KeyHistorySize): Promise<void> {
  const [out, wasOut] = [isOut(size), isOut(size, 'e - 1')];
  await client.query(
    `INSERT INTO custody_event (tenant_id, id, kind, says, happened_at, recorded_at, recorded_by, reason, from_person_id, from_store_id, to_person_id, to_store_id, due_back_at, acknowledge_by)
     SELECT $1::uuid, ${idOf('event', `c || '.' || e`)}, says, says, ${moment('e')}, ${moment('e')}, 'system:test', 'Round',
            CASE WHEN ${wasOut} AND NOT ${isMissing(size)} AND NOT ${isFound(size)} THEN ${receiverOf(size, 'e - 1')} END, CASE WHEN e > 0 AND NOT ${wasOut} AND NOT ${isMissing(size)} THEN ${storeOf} END,
            CASE WHEN ${out} AND NOT ${isMissing(size)} THEN ${receiverOf(size)} END, CASE WHEN NOT ${out} THEN ${storeOf} END, ${dueBack(size)}, CASE WHEN e > 0 AND NOT ${isMissing(size)} AND NOT ${isFound(size)} THEN ${moment('e + 24')} END
       FROM (SELECT c, e, CASE WHEN e = 0 THEN 'made' WHEN ${isMissing(size)} THEN 'reported-missing' WHEN ${isFound(size)} THEN 'found' WHEN ${out} = ${wasOut} THEN 'handed-over' WHEN ${out} THEN 'issued' ELSE 'returned' END AS says
               FROM ${steps(size)}) AS step`,
    [tenantId],
  );
  await client.query(
    `INSERT INTO custody_event_copy (tenant_id, event_id, key_copy_id, class, breach_due_at)
     SELECT $1::uuid, ${idOf('event', `c || '.' || e`)}, ${idOf('copy', 'c')}, 'cash-box', CASE WHEN ${out} AND ${AT_SITE} THEN ${moment('e + 24')} END FROM ${steps(size)}`,
    [tenantId],
  );
}

/** Both sides confirm after a minute; of every two-thousandth copy only after fifty, and what happened to it last not yet. */
const SLOW_TO_CONFIRM = 2000;

async function writeConfirmations(client: Client, tenantId: string, size: KeyHistorySize): Promise<void> {
  await client.query(
    `INSERT INTO custody_confirmation (tenant_id, event_id, side, holder_id, happened_at, recorded_at, confirmed_at)
     SELECT $1::uuid, ${idOf('event', `c || '.' || e`)}, side, CASE side WHEN 'giver' THEN coalesce(event.from_person_id, event.from_store_id) ELSE coalesce(event.to_person_id, event.to_store_id) END,
            event.happened_at, event.recorded_at,
            CASE WHEN c % ${SLOW_TO_CONFIRM} > 0 THEN event.recorded_at + interval '1 minute' WHEN e < ${size.eventsPerCopy - 1} THEN event.recorded_at + interval '50 minutes' END
       FROM ${steps(size)}, unnest(ARRAY['giver', 'receiver']) AS side, custody_event event
      WHERE event.acknowledge_by IS NOT NULL AND event.tenant_id = $1::uuid AND event.id = ${idOf('event', `c || '.' || e`)}`,
    [tenantId],
  );
}

/**
 * Each event leaves a row that says "still", which was known until the next event, and then one with its end. How many copies are late, missing or at a site at
 * once does not depend on the history.
 */
async function writeCustody(client: Client, tenantId: string, size: KeyHistorySize): Promise<void> {
  const out = isOut(size);
  await client.query(
    `INSERT INTO custody (tenant_id, id, key_copy_id, key_code_id, event_id, state, person_id, store_id, held_from, held_to, known_from, known_to, due_back_at, cash_box_at_site)
     SELECT $1::uuid, ${idOf('custody', `c || '.' || e || '.' || version`)}, ${idOf('copy', 'c')}, ${idOf('code', codeOf('c'))}, ${idOf('event', `c || '.' || e`)},
            CASE WHEN ${isMissing(size)} THEN 'missing' ELSE 'held' END,
            CASE WHEN ${out} AND NOT ${isMissing(size)} THEN ${receiverOf(size)} END, CASE WHEN NOT ${out} THEN ${storeOf} END,
            ${moment('e')}, CASE version WHEN 1 THEN ${moment('e + 1')} END, ${moment('e + version')},
            CASE WHEN version = 0 AND e < ${size.eventsPerCopy - 1} THEN ${moment('e + 1')} END,
            ${dueBack(size)}, ${out} AND ${AT_SITE}
       FROM ${steps(size)}, generate_series(0, 1) AS version
      WHERE version = 0 OR e < ${size.eventsPerCopy - 1}`,
    [tenantId],
  );
}

/**
 * Building the indexes over ranges at once takes a fraction of filling them row by row. The rule behind one of them is not
 * asked again: these rows keep it, and to ask would take longer than to write them.
 */
async function withoutSlowIndexes(client: Client, table: 'custody' | 'custody_confirmation', work: () => Promise<void>): Promise<void> {
  const { rows } = await client.query<{ name: string; definition: string; is_constraint: boolean }>(
    `SELECT i.relname AS name, pg_get_indexdef(i.oid) AS definition, EXISTS (SELECT FROM pg_constraint k WHERE k.conindid = i.oid) AS is_constraint
       FROM pg_index x JOIN pg_class i ON i.oid = x.indexrelid JOIN pg_am a ON a.oid = i.relam
      WHERE x.indrelid = '${table}'::regclass AND a.amname = 'gist'`,
  );
  for (const { name, is_constraint } of rows) await client.query(is_constraint ? `ALTER TABLE ${table} DROP CONSTRAINT ${name}` : `DROP INDEX ${name}`);
  await work();
  await client.query(`SET maintenance_work_mem = '512MB'`);
  for (const { definition } of rows) await client.query(definition);
}
