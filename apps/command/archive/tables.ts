import { escapeIdentifier, type ClientBase } from 'pg';
import { CommandFailure } from '../failure';

export type TableShape = {
  readonly schema: string;
  readonly name: string;
  readonly columns: readonly string[];
  /** Columns of the primary key, as SQL to order by. */
  readonly order: readonly string[];
};

/**
 * What is no data of ours: the queue's tables, which only wake workers for rows of the outbox, and the list of
 * migrations, which the manifest holds.
 */
const LEFT_OUT = `n.nspname !~ '^pg_' AND n.nspname NOT IN ('information_schema', 'bullmq') AND c.relname <> '_prisma_migrations'`;

// Text compares by code point whatever the database's collation is, so that two servers order alike.
const TABLES = `
  SELECT n.nspname AS schema, c.relname AS name,
         (SELECT array_agg(a.attname::text ORDER BY a.attnum) FROM pg_attribute a
           WHERE a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped AND a.attgenerated = '') AS columns,
         (SELECT array_agg(quote_ident(a.attname) || CASE WHEN a.attcollation = 0 THEN '' ELSE ' COLLATE "C"' END ORDER BY k.place)
            FROM pg_constraint p
            CROSS JOIN LATERAL unnest(p.conkey) WITH ORDINALITY AS k (attnum, place)
            JOIN pg_attribute a ON a.attrelid = p.conrelid AND a.attnum = k.attnum
           WHERE p.conrelid = c.oid AND p.contype = 'p') AS "order"
    FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
   WHERE c.relkind = 'r' AND ${LEFT_OUT}
   ORDER BY n.nspname, c.relname`;

const SEQUENCES = `
  SELECT n.nspname AS schema, c.relname AS name, pg_sequence_last_value(c.oid)::text AS "lastValue"
    FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
   WHERE c.relkind = 'S' AND ${LEFT_OUT}
   ORDER BY n.nspname, c.relname`;

export async function readTables(client: ClientBase): Promise<TableShape[]> {
  const { rows } = await client.query<Omit<TableShape, 'order'> & { order: string[] | null }>(TABLES);
  return rows.map(({ order, ...table }) => {
    if (order === null) throw new CommandFailure(`The table ${nameOf(table)} has no primary key, so its rows have no order to be kept in.`);
    return { ...table, order };
  });
}

export async function readSequences(client: ClientBase): Promise<{ schema: string; name: string; lastValue: string | null }[]> {
  return (await client.query<{ schema: string; name: string; lastValue: string | null }>(SEQUENCES)).rows;
}

/**
 * Ids of the master keys that something in the database was sealed under: operators' data keys, and accounts' second
 * factors, which carry the id after two bytes (secrets-at-rest.ts). Tables may be missing in a database of an earlier version.
 */
export async function readMasterKeyIds(client: ClientBase): Promise<string[]> {
  const sources = [
    { table: 'public.operator_data_key', ids: 'SELECT master_key_id FROM public.operator_data_key' },
    {
      table: 'identity.user_account',
      ids: `SELECT convert_from(substring(sealed_factor_secret FROM 3 FOR get_byte(sealed_factor_secret, 1)), 'UTF8')
              FROM identity.user_account WHERE sealed_factor_secret IS NOT NULL`,
    },
  ];
  const found = new Set<string>();
  for (const { table, ids } of sources) {
    const { rows: tables } = await client.query<{ exists: boolean }>('SELECT to_regclass($1) IS NOT NULL AS exists', [table]);
    if (!tables[0]?.exists) continue;
    const { rows } = await client.query<{ id: string }>(`SELECT DISTINCT id FROM (${ids}) AS used (id)`);
    for (const { id } of rows) found.add(id);
  }
  return [...found].sort();
}

/** Settings that the text of a value depends on. */
export async function fixTextForm(client: ClientBase): Promise<void> {
  await client.query(
    `SET client_encoding = 'UTF8'; SET timezone = 'UTC'; SET datestyle = 'ISO, YMD'; SET intervalstyle = 'iso_8601';
     SET bytea_output = 'hex'; SET extra_float_digits = 1; SET statement_timeout = 0`,
  );
}

export const copyOut = (table: TableShape): string =>
  `COPY (SELECT ${columnList(table)} FROM ${nameOf(table)} ORDER BY ${table.order.join(', ')}) TO STDOUT`;

export const copyIn = (table: Omit<TableShape, 'order'>): string => `COPY ${nameOf(table)} (${columnList(table)}) FROM STDIN`;

export function nameOf({ schema, name }: { readonly schema: string; readonly name: string }): string {
  return `${escapeIdentifier(schema)}.${escapeIdentifier(name)}`;
}

function columnList({ columns }: { readonly columns: readonly string[] }): string {
  return columns.map(escapeIdentifier).join(', ');
}
