import type { ClientBase } from 'pg';
import * as sql from './catalogue.sql';

/**
 * What holds the data in place beyond its columns, as the database itself tells it. Committed as prisma/catalogue.json:
 * a difference means that somebody changed a right, a rule or a trigger, on purpose or not.
 */
export type Catalogue = {
  readonly roles: Named<string>;
  readonly schemas: Named<CatalogueSchema>;
  readonly extensions: readonly string[];
  /** Rights that objects get when the owner makes them. */
  readonly defaultGrants: Named<Named<string>>;
  readonly tables: Named<CatalogueTable>;
  readonly functions: Named<CatalogueFunction>;
};

export type CatalogueSchema = { readonly owner: string; readonly grants: Named<string> };

export type CatalogueTable = {
  readonly owner: string;
  readonly rowSecurity: 'forced' | 'enabled' | 'off';
  readonly columns: Named<string>;
  /** Definitions as PostgreSQL prints them. */
  readonly constraints: Named<string>;
  /** Indexes that no constraint stands for. */
  readonly indexes: Named<string>;
  readonly policies: Named<string>;
  readonly triggers: Named<string>;
  /** Rights per role, `SELECT (a, b)` where they cover single columns. */
  readonly grants: Named<string>;
};

export type CatalogueFunction = {
  readonly owner: string;
  readonly kind: 'function' | 'procedure';
  readonly returns: string;
  readonly runsAs: 'caller' | 'owner';
  readonly settings: readonly string[];
  readonly mayExecute: readonly string[];
  /** SHA-256 of the definition, in hex. */
  readonly digest: string;
};

type Named<Value> = Readonly<Record<string, Value>>;

/**
 * Reads the catalogue of schemas public, app and identity. The queue library's schema is its own affair, and so is what
 * belongs to an extension. Any role may read it.
 */
export async function readCatalogue(client: ClientBase): Promise<Catalogue> {
  // Definitions then name every object with its schema.
  await client.query('SET search_path = pg_catalog');
  const catalogue = {
    roles: await readNamed<string>(client, sql.roles),
    schemas: await readNamed<CatalogueSchema>(client, sql.schemas),
    extensions: Object.keys(await readNamed(client, sql.extensions)),
    defaultGrants: await readNamed<Named<string>>(client, sql.defaultGrants),
    tables: await readNamed<CatalogueTable>(client, sql.tables),
    functions: await readNamed<CatalogueFunction>(client, sql.functions),
  };
  await client.query('RESET search_path');
  return catalogue;
}

/** As it is committed: one fact a line. */
export function printCatalogue(catalogue: Catalogue): string {
  return `${JSON.stringify(catalogue, null, 2)}\n`;
}

async function readNamed<Value>(client: ClientBase, query: string): Promise<Named<Value>> {
  const { rows } = await client.query<{ name: string; value: Value }>(query);
  return Object.fromEntries(rows.map((row) => [row.name, sortedByName(row.value)]));
}

/** jsonb keeps keys by their length; people look for them in alphabetical order. */
function sortedByName<Value>(value: Value): Value {
  if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  const entries: [string, unknown][] = Object.entries(value);
  entries.sort(([one], [other]) => (one < other ? -1 : 1));
  return Object.fromEntries(entries.map(([name, inner]) => [name, sortedByName(inner)])) as Value;
}
