import type { Catalogue, CatalogueTable } from '#database/catalogue';

/** Why something is as it should be all the same: by the sentence that would be listed, or by table for all about it. */
export type Exceptions = Readonly<Record<string, string>>;

const TENANT_POLICY = 'permissive all to PUBLIC using (tenant_id = app.current_tenant()) check (tenant_id = app.current_tenant())';

/**
 * Everything in the catalogue through which rows of two tenants could be seen together, tied together or changed
 * unseen: one sentence each. Schema identity is reached by functions alone, so its tables are asked for grants only.
 */
export function listTenantEscapes(catalogue: Catalogue, exceptions: Exceptions): string[] {
  const ofTables = Object.entries(catalogue.tables).flatMap(([name, table]) => {
    if (exceptions[name] !== undefined) return [];
    return name.startsWith('public.') ? escapesOfTenantTable(catalogue, name) : escapesOfClosedTable(name, table);
  });
  return [...ofTables, ...escapesOfFunctions(catalogue)].filter((escape) => exceptions[escape] === undefined);
}

function escapesOfTenantTable(catalogue: Catalogue, name: string): string[] {
  const table = catalogue.tables[name];
  if (!table) return [];
  const refuses = (condition: boolean, how: string, what = name): string[] => (condition ? [`${what} ${how}`] : []);
  return [
    ...refuses(!(table.columns['tenant_id'] ?? '').startsWith('uuid not null'), 'has no column tenant_id'),
    ...refuses(!primaryKeyOf(table).startsWith('tenant_id'), 'has a primary key that does not begin with tenant_id'),
    ...refuses(table.rowSecurity !== 'forced', `has row security ${table.rowSecurity}`),
    ...refuses(table.policies['tenant'] !== TENANT_POLICY, 'has no policy "tenant" of the usual form'),
    ...refuses(table.owner !== 'latchledger_owner', `belongs to ${table.owner}`),
    ...refuses(!refusesTruncate(table), 'can be emptied by TRUNCATE'),
    ...refuses(!leadsToOperator({ catalogue, name, seen: [] }), 'is tied to no operator, directly or through other tables'),
    ...Object.keys(table.policies).flatMap((policy) => refuses(policy !== 'tenant', 'lets more rows through than those of its tenant', `${name} policy ${policy}`)),
    ...Object.entries(table.grants).flatMap(([role, rights]) => refuses(/TRUNCATE|REFERENCES|TRIGGER|grantable/.test(rights) || role === 'PUBLIC', `grants ${rights}`, `${name} to ${role}`)),
    ...Object.entries(table.constraints).flatMap(([key, definition]) => refuses(tiesTenants(definition), 'leaves out the tenant', `${name} ${key}`)),
    ...Object.entries(table.indexes).flatMap(([key, definition]) => refuses(/UNIQUE/.test(definition) && !/\(tenant_id\b/.test(definition), 'leaves out the tenant', `${name} ${key}`)),
  ];
}

/** A foreign, unique or exclusion key that does not carry the tenant on every side. */
function tiesTenants(definition: string): boolean {
  const [, columns, references] = /^FOREIGN KEY \((.*)\) REFERENCES [\w."]+\((.*?)\)/.exec(definition) ?? [];
  if (columns !== undefined && references !== undefined) return !/\btenant_id\b/.test(columns) || !/\btenant_id\b/.test(references);
  if (definition.startsWith('UNIQUE')) return !/\btenant_id\b/.test(definition);
  if (definition.startsWith('EXCLUDE')) return !/\btenant_id WITH =/.test(definition);
  return false;
}

function leadsToOperator(way: { catalogue: Catalogue; name: string; seen: readonly string[] }): boolean {
  if (way.name === 'public.operator') return true;
  if (way.seen.includes(way.name)) return false;
  const targets = Object.values(way.catalogue.tables[way.name]?.constraints ?? {}).flatMap(
    (definition) => /^FOREIGN KEY \(tenant_id\b.*\) REFERENCES ([\w.]+)\(/.exec(definition)?.[1] ?? [],
  );
  return targets.some((name) => leadsToOperator({ catalogue: way.catalogue, name, seen: [...way.seen, way.name] }));
}

function escapesOfClosedTable(name: string, table: CatalogueTable): string[] {
  return Object.entries(table.grants)
    .filter(([role]) => role !== 'latchledger_backup')
    .map(([role, rights]) => `${name} to ${role} grants ${rights} on a table that functions alone may reach`);
}

function escapesOfFunctions(catalogue: Catalogue): string[] {
  return Object.entries(catalogue.functions).flatMap(([name, definition]) => {
    const path = definition.settings.find((setting) => setting.startsWith('search_path='));
    return [
      ...(definition.mayExecute.includes('PUBLIC') ? [`${name} may be executed by everybody`] : []),
      // What it names without a schema could be taken over by whoever may create objects on the way.
      ...(definition.runsAs === 'owner' && !/^search_path="?pg_catalog"?, "?pg_temp"?$/.test(path ?? '') ? [`${name} runs as its owner with search path ${path ?? 'of its caller'}`] : []),
    ];
  });
}

function primaryKeyOf(table: CatalogueTable): string {
  return Object.values(table.constraints).flatMap((definition) => /^PRIMARY KEY \((.*)\)$/.exec(definition)?.[1] ?? [])[0] ?? '';
}

function refusesTruncate(table: CatalogueTable): boolean {
  return Object.values(table.triggers).some((definition) => /BEFORE TRUNCATE .* EXECUTE FUNCTION app\.refuse_change\(\) \[always\]$/.test(definition));
}
