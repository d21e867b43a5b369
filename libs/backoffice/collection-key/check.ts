import type { CollectionKeyCheck, CollectionKeyExportQuery, CollectionKeyListQuery } from '#contracts/collection-key';
import { formatInstant } from '#contracts/format';
import type { Openers } from '#contracts/key-question';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Page } from '#contracts/page';
import type { TenantTransaction } from '#database/tenant';
import { addDays, localDate } from '#domain/calendar/local-date';
import { z } from 'zod';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { openersOf } from '../key-question/openers';
import { csvTable } from '../csv';
import { selectKeyPeople } from '../key-question/openers.sql';
import { decodeCursor, toPage } from '../page';
import { perform } from '../perform';
import { selectChecks, selectEmptied, type ChecksFilter } from './check.sql';

/** Whether who emptied the boxes of a collection had keys to them. */
export async function readKeyCheck(deps: Backoffice, caller: Caller, query: { readonly id: string }): Promise<Outcome<CollectionKeyCheck>> {
  return perform(deps, caller, 'collection-key.read', async ({ tx }) => {
    const [check] = await readChecks(tx, { collectionId: query.id });
    return check === undefined ? refused('not-found') : done(check);
  });
}

const cursorSchema = z.tuple([z.iso.datetime(), z.uuid()]);
const QUARTER_DAYS = 92;

/** Collections that were made without a fitting key, or name nobody who had one, the latest first. */
export async function listKeyFindings(deps: Backoffice, caller: Caller, query: CollectionKeyListQuery): Promise<Outcome<Page<CollectionKeyCheck>>> {
  return perform(deps, caller, 'collection-key.read', async ({ tx, now }) => {
    const after = decodeCursor(query.cursor, cursorSchema);
    if (after === 'invalid') return refused('invalid-cursor');
    const rows = await readChecks(tx, { findings: { ...findingsOf(query, now), after, limit: query.limit + 1 } });
    return done(toPage({ rows, limit: query.limit, item: (check) => check, keyOf: (check) => [check.happenedAt, check.collectionId] }));
  });
}

const columns = ['finding', 'visit', 'site', 'site_name', 'key_holder', 'key_holder_name', 'machine', 'codes', 'no_key_to'] as const;

/** All of them as CSV, a line for each machine to which there was no key. */
export async function exportKeyFindings(deps: Backoffice, caller: Caller, query: CollectionKeyExportQuery): Promise<Outcome<{ bytes: Buffer; fileName: string }>> {
  return perform(deps, caller, 'collection-key.read', async ({ tx, now }) => {
    const checks = await readChecks(tx, { findings: { ...findingsOf(query, now), after: null, limit: null } });
    const lines = checks.flatMap(({ machines, ...check }) =>
      machines
        .filter(({ lacking }) => lacking.length > 0)
        .map((machine) => ({
          finding: check.result,
          visit: check.happenedAt,
          site: check.siteCode,
          site_name: check.siteName,
          key_holder: check.keyHolder?.code,
          key_holder_name: check.keyHolder?.name,
          machine: machine.machineTag,
          codes: machine.codes.join(' '),
          no_key_to: machine.lacking.join(' '),
        })),
    );
    return done({ bytes: Buffer.from(csvTable({ columns }, lines)), fileName: 'collections-without-key.csv' });
  });
}

function findingsOf(query: CollectionKeyExportQuery, now: Date) {
  const from = query.from ?? addDays(localDate(now.toISOString().slice(0, 10)), -QUARTER_DAYS);
  return { siteId: query.siteId ?? null, personId: query.personId ?? null, from, before: query.before ?? null };
}

/** Two statements, whatever the number of collections. */
export async function readChecks(tx: TenantTransaction, filter: ChecksFilter): Promise<CollectionKeyCheck[]> {
  const rows = await selectChecks(tx, filter);
  const people = new Map((await selectKeyPeople(tx, [...new Set(rows.flatMap(({ holder_id }) => holder_id ?? []))])).map((person) => [person.personId, person]));
  return rows.map((row) => ({
    collectionId: row.id,
    siteId: row.site_id,
    siteCode: row.site_code,
    siteName: row.site_name,
    timeZone: row.time_zone,
    happenedAt: formatInstant(row.happened_at),
    keyHolder: row.holder_id === null ? null : (people.get(row.holder_id) ?? null),
    boxesExchanged: row.boxes_exchanged,
    result: row.result,
    machines: row.machines,
  }));
}

/**
 * Who could have opened the box of a machine since it was last emptied before this collection, up to this collection: what
 * a difference between counted and expected cash is asked about. Where it never was, since the first lock was fitted that
 * the books know. `null` for a machine that the collection did not empty.
 */
export async function openersSinceLastCollection(tx: TenantTransaction, query: { readonly collectionId: string; readonly machineId: string; readonly knownAt: Date }): Promise<Openers | null> {
  const emptied = await selectEmptied(tx, query);
  if (emptied === null) return null;
  const { happened_at: happenedAt, previous_at: previousAt, since_at: sinceAt } = emptied;
  // A difference over several emptyings may have come about in any of them.
  const from = previousAt === null ? new Date(0) : new Date(Math.min(previousAt.getTime(), (sinceAt ?? previousAt).getTime()));
  // Up to and with the moment of this collection: who made it could open the box, too.
  const before = new Date(happenedAt.getTime() + 1);
  return openersOf(tx, { machineId: query.machineId, opens: 'cash-box', from, before, knownAt: query.knownAt });
}
