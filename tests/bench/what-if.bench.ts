/** A year under other shares, of one site and of all, against the engine alone over the same months. */
import { execFile } from 'node:child_process';
import { createHash, randomUUID } from 'node:crypto';
import { join } from 'node:path';
import { promisify } from 'node:util';
import type { Client } from 'pg';
import { documentText } from '#backoffice/settlement/document-text';
import { closeDatabase, createDatabase } from '#database/tenant';
import { addDays, daysInMonth, localDate } from '#domain/calendar/local-date';
import { noCarries } from '#domain/settlement/carries';
import { settle } from '#domain/settlement/settle';
import type { SettlementInputs } from '#domain/settlement/types';
import { onConnection } from '#tests/support/connection';
import { withMigratedServer } from '#tests/support/migrated-server';
import { writeMonth } from '#tests/support/month-fixture';
import { charge, count, inputs, insideRule, machine, operator, period, shares, slip, version } from '#tests/support/settlement-inputs';
import type { WhatIfWork } from './what-if-worker';

export type WhatIfBench = WhatIfWork & {
  readonly sites: number;
  readonly boxCounts: number;
  readonly engineSeconds: number;
  /** All sites over the engine alone; the rest is reading, decoding and adding up. */
  readonly ratio: number;
  readonly peakMegabytesWithOneFifthOfTheSites: number;
};

const SITES = Number(process.env['WHAT_IF_SITES'] ?? 500);
const tags = ['1', '2', '3', '4', '5', '6', '7', '8'];

export async function benchWhatIf(): Promise<WhatIfBench> {
  const [small, large] = [await measure(Math.ceil(SITES / 5)), await measure(SITES)];
  return {
    sites: SITES,
    boxCounts: SITES * 12 * tags.length * 4,
    ...large.work,
    engineSeconds: large.engineSeconds,
    ratio: large.work.allSitesSeconds / large.engineSeconds,
    peakMegabytesWithOneFifthOfTheSites: small.work.peakMegabytes,
  };
}

async function measure(sites: number): Promise<{ work: WhatIfWork; engineSeconds: number }> {
  let measured: { work: WhatIfWork; engineSeconds: number } | undefined;
  await withMigratedServer(async (server) => {
    const superuser = new URL(server.superuserUrl);
    superuser.pathname = new URL(server.urls.app).pathname;
    const urls = { ...server.urls, superuser: superuser.toString() };
    const database = createDatabase({ appUrl: server.urls.app, poolSize: 1 });
    const { tenantId } = await writeMonth({ name: 'what_if', database, urls, drop: () => Promise.resolve() }, { sites, machinesPerSite: 1, collectionsPerSite: 1 });
    await closeDatabase(database);
    const { siteId, engineSeconds } = await onConnection(urls.superuser, (client) => writeYears(client, tenantId));
    const words = ['-C', 'src', '-r', '@swc-node/register', join(__dirname, 'what-if-worker.ts'), server.urls.app, tenantId, siteId];
    const { stdout } = await promisify(execFile)(process.execPath, words, { maxBuffer: 10_000_000 });
    measured = { work: JSON.parse(stdout) as WhatIfWork, engineSeconds };
  });
  if (measured === undefined) throw new Error('nothing was measured');
  return measured;
}

type Place = { readonly agreement_id: string; readonly site_id: string; readonly party_id: string };

/** Twelve issued settlements for every agreement, written past the triggers; and the time that the engine takes for all. */
async function writeYears(client: Client, tenantId: string): Promise<{ siteId: string; engineSeconds: number }> {
  const { rows } = await client.query<Place>('SELECT id AS agreement_id, site_id, party_id FROM agreement WHERE tenant_id = $1 ORDER BY id', [tenantId]);
  let engineSeconds = 0;
  let serial = 0;
  await client.query('SET session_replication_role = replica');
  for (const [site, place] of rows.entries()) {
    let carriesIn = noCarries;
    const settlements: object[] = [];
    for (let month = 1; month <= 12; month += 1) {
      const given = monthOf(place, { site, month, carriesIn });
      const startedAt = performance.now();
      const result = settle(given, { explain: false });
      engineSeconds += (performance.now() - startedAt) / 1000;
      carriesIn = result.periods[0]?.carriesOut ?? noCarries;
      serial += 1;
      const { from, until, id } = given.current.period;
      const texts = [documentText({ ...given }), documentText({ ...result })] as const;
      settlements.push({ id: randomUUID(), period_id: id, starts_on: from, ends_before: until, inputs: texts[0], result: texts[1], serial, digest: createHash('sha256').update(texts[1]).digest('hex') });
    }
    await client.query(
      `INSERT INTO settlement (tenant_id, id, agreement_id, site_id, period_id, starts_on, ends_before, kind, state, currency, engine_version,
                               inputs, inputs_digest, result, result_digest, carries, takings_minor, refunds_minor, tax_minor, charges_minor,
                               operator_share_minor, site_share_minor, earlier_minor, payable_minor, number_year, number_serial, number, issued_on,
                               digest, drafted_at, reviewed_at, reviewed_by, numbered_at, issued_at, accounting_date)
       SELECT $1, x.id, $2, $3, x.period_id, x.starts_on, x.ends_before, 'regular', 'issued', 'USD', '1', x.inputs, decode(x.digest, 'hex'), x.result,
              decode(x.digest, 'hex'), '{}', 0, 0, 0, 0, 0, 0, 0, 0, 2025, x.serial, 'N-' || x.serial, x.ends_before, decode(x.digest, 'hex'), now(), now(), 'bench', now(), now(), x.ends_before - 1
         FROM jsonb_to_recordset($4::jsonb) AS x (id uuid, period_id uuid, starts_on date, ends_before date, inputs text, result text, serial integer, digest text)`,
      [tenantId, place.agreement_id, place.site_id, JSON.stringify(settlements)],
    );
  }
  await client.query('SET session_replication_role = origin');
  await client.query('ANALYZE settlement');
  const [first] = rows;
  if (first === undefined) throw new Error('there is no site');
  return { siteId: first.site_id, engineSeconds };
}

/** A month of eight machines with four collections, a slip, two tax components and a first call that is carried on. */
function monthOf(place: Place, { site, month, carriesIn }: { site: number; month: number; carriesIn: SettlementInputs['carriesIn'] }): SettlementInputs {
  const from = localDate(`2025-${String(month).padStart(2, '0')}-01`);
  const until = addDays(from, daysInMonth(2025, month));
  const visits = [7, 14, 21, 28].map((day) => addDays(from, day - 1));
  const signed = version('2020-01-01', {
    parties: [{ id: operator, role: 'operator' }, { id: place.party_id, role: 'site' }],
    charges: [charge({ rest: 'carry' })],
    split: { kind: 'shares', shares: shares([operator, '50'], [place.party_id, '50']) },
  });
  const current = period(from, until, {
    versions: [{ ...signed, id: place.agreement_id }],
    machines: tags.map((tag) => machine(tag)),
    counts: tags.flatMap((tag, position) => visits.map((date, visit) => count(tag, date, BigInt(500 + site * 7 + position * 13 + visit * month), { noteMinor: 500n }))),
    refundSlips: [{ ...slip('1', visits[1] ?? from, 300n), paidBy: operator }],
    taxRules: [insideRule(['4', '0.5'])],
  });
  const own = { ...current, period: { ...current.period, id: randomUUID() } };
  return inputs(own, { agreementId: place.agreement_id, siteId: place.site_id, carriesIn });
}
