import { randomUUID } from 'node:crypto';
import type { Client } from 'pg';
import type { TermsDocument } from '#contracts/terms';
import type { TestDatabase } from './database';
import { onConnection } from './connection';
import { createTenant } from './database';

export type MonthFixture = {
  readonly tenantId: string;
  readonly siteCount: number;
  readonly boxCountCount: number;
};

export type MonthSize = { readonly sites: number; readonly machinesPerSite: number; readonly collectionsPerSite: number };

/** Terms with a first call and an even split. The site's owner is put in per site. */
const terms: TermsDocument = {
  format: 1,
  currency: 'USD',
  arrangement: 'machine-lease',
  parties: [
    { id: 'operator', role: 'operator' },
    { id: 'site-id', role: 'site' },
  ],
  cycle: { kind: 'month' },
  basis: 'counted',
  grouping: 'site',
  tax: { filedBy: 'as-the-rule-says', borneBy: 'as-the-rule-says' },
  tokens: [],
  cashless: 'by-day',
  breakIns: { borneBy: 'all' },
  charges: [{ id: 'first-call', title: 'First call', to: 'operator', scope: 'agreement', amount: { kind: 'amount', per: 'week', amount: '75.00' }, rest: 'lapse' }],
  split: { kind: 'shares', shares: [{ party: 'operator', percent: '50' as never }, { party: 'site-id', percent: '50' as never }] },
  loss: 'carry',
  guarantees: [],
  advances: { kind: 'none' },
  payout: { smallest: '0.00', negative: 'carry', smallestCoin: null },
};

const taxRule = {
  method: 'inside',
  title: 'Sales tax in the price',
  currency: 'USD',
  machineKinds: 'all',
  filedBy: 'operator',
  borneBy: 'all',
  breakIns: 'in-base',
  negative: 'zero',
  capPerMachineMonth: null,
  components: [
    { id: 'state', title: 'State sales tax', ratePercent: '4' },
    { id: 'county', title: 'County surtax', ratePercent: '0.5' },
  ],
};

/**
 * A month of an operator, October 2025, written straight into the tables by a superuser with triggers off: thousands of
 * sites in seconds, for tests and measurements of what reads them. Not a way into the books. Of a new operator, unless one is named.
 */
export async function writeMonth(db: TestDatabase, size: MonthSize, ofTenant?: string): Promise<MonthFixture> {
  const tenantId = ofTenant ?? (await createTenant(db));
  await onConnection(db.urls.superuser, async (client) => {
    await client.query('SET session_replication_role = replica');
    await writeSetUp(client, tenantId, size);
    await writeCollections(client, tenantId, size);
    await client.query('SET session_replication_role = origin');
    await client.query('ANALYZE');
  });
  return { tenantId, siteCount: size.sites, boxCountCount: size.sites * size.machinesPerSite * size.collectionsPerSite };
}

/** Ids that statements can compute again from a row's number: name-based, so that no table has to be read back. Of version and variant 8 (RFC 9562), as answers of the API must be. */
const idOf = (kind: string, number: string): string => `overlay(overlay(md5($1 || '${kind}' || ${number}) placing '8' from 13) placing '8' from 17)::uuid`;

async function writeSetUp(client: Client, tenantId: string, size: MonthSize): Promise<void> {
  const area = randomUUID();
  const run = (text: string, ...values: readonly unknown[]): Promise<unknown> => client.query(text, [tenantId, ...values]);
  await run(`INSERT INTO tax_area (tenant_id, id, code, name, country, created_at) VALUES ($1::uuid, $2, 'AREA', 'Area', 'US', '2025-01-01')`, area);
  await run(
    `INSERT INTO tax_rule (tenant_id, id, tax_area_id, code, valid_from, document, created_at) VALUES ($1::uuid, gen_random_uuid(), $2, 'SALES', '2025-01-01', $3, '2025-01-01')`,
    area,
    JSON.stringify(taxRule),
  );
  await run(
    `INSERT INTO site (tenant_id, id, code, name, time_zone, currency, tax_area_id, opened_on, created_at)
     SELECT $1::uuid, ${idOf('site', 'n')}, 'S-' || n, 'Site ' || n, 'America/Chicago', 'USD', $2, '2025-01-01', '2025-01-01' FROM generate_series(1, $3::int) n`,
    area,
    size.sites,
  );
  await run(
    `INSERT INTO party (tenant_id, id, code, name, locale, created_at)
     SELECT $1::uuid, ${idOf('party', 'n')}, 'P-' || n, 'Owner ' || n, 'en-US', '2025-01-01' FROM generate_series(1, $2::int) n`,
    size.sites,
  );
  await run(
    `INSERT INTO agreement (tenant_id, id, code, site_id, party_id, started_on, created_at)
     SELECT $1::uuid, ${idOf('agreement', 'n')}, 'A-' || n, ${idOf('site', 'n')}, ${idOf('party', 'n')}, '2025-01-01', '2025-01-01' FROM generate_series(1, $2::int) n`,
    size.sites,
  );
  await run(
    `INSERT INTO agreement_version (tenant_id, id, agreement_id, effective_from, terms, recorded_at)
     SELECT $1::uuid, ${idOf('version', 'n')}, ${idOf('agreement', 'n')}, '2025-01-01',
            replace($3, '"site-id"', to_json(${idOf('party', 'n')}::text)::text)::jsonb, '2025-01-01'
       FROM generate_series(1, $2::int) n`,
    size.sites,
    JSON.stringify(terms),
  );
  await run(
    `INSERT INTO machine (tenant_id, id, tag, kind, acquired_on, created_at)
     SELECT $1::uuid, ${idOf('machine', 'n')}, 'M-' || n, CASE n % 3 WHEN 0 THEN 'jukebox' WHEN 1 THEN 'pinball' ELSE 'video' END, '2025-01-01', '2025-01-01'
       FROM generate_series(1, $2::int) n`,
    size.sites * size.machinesPerSite,
  );
  await run(
    `INSERT INTO placement (tenant_id, id, machine_id, site_id, placed_on, created_at)
     SELECT $1::uuid, ${idOf('placement', 'n')}, ${idOf('machine', 'n')}, ${idOf('site', '((n - 1) / $3::int + 1)')}, '2025-09-01', '2025-09-01'
       FROM generate_series(1, $2::int) n`,
    size.sites * size.machinesPerSite,
    size.machinesPerSite,
  );
}

async function writeCollections(client: Client, tenantId: string, size: MonthSize): Promise<void> {
  await client.query(
    `INSERT INTO collection (tenant_id, id, site_id, currency, happened_at, local_date, accounting_date, state, recorded_at, recorded_by, accepted_at, accepted_by)
     SELECT $1::uuid, ${idOf('collection', `s || '/' || v`)}, ${idOf('site', 's')}, 'USD', day + interval '17 hours', day, day, 'accepted',
            day + interval '18 hours', 'system:fixture', day + interval '19 hours', 'system:fixture'
       FROM generate_series(1, $2::int) s, generate_series(1, $3::int) v, LATERAL (SELECT date '2025-10-01' + (v * 28 / $3::int - 1) AS day) d`,
    [tenantId, size.sites, size.collectionsPerSite],
  );
  await client.query(
    `INSERT INTO box_count (tenant_id, id, collection_id, site_id, placement_id, machine_id, currency, coin_minor, note_minor, recorded_at, recorded_by)
     SELECT $1::uuid, ${idOf('count', `n || '/' || v`)}, ${idOf('collection', `s || '/' || v`)}, ${idOf('site', 's')}, ${idOf('placement', 'n')}, ${idOf('machine', 'n')},
            'USD', 25 * ((n * 7 + v * 13) % 400 + 40), 100 * ((n * 3 + v * 5) % 90), '2025-10-31', 'system:fixture'
       FROM generate_series(1, $2::int) n, generate_series(1, $3::int) v, LATERAL (SELECT (n - 1) / $4::int + 1 AS s) place`,
    [tenantId, size.sites * size.machinesPerSite, size.collectionsPerSite, size.machinesPerSite],
  );
}
