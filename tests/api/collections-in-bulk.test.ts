import { randomUUID } from 'node:crypto';
import { ensurePeriods } from '#backoffice/agreement/period';
import { acceptCollections } from '#backoffice/collection/accept-collections';
import { localDay } from '#backoffice/collection/local-day';
import { nothingBeside } from '#backoffice/collection/box-contents';
import { recordCollections, type NewCollection, type NewCount, type NewHanded, type NewSlip } from '#backoffice/collection/record-collections';
import type { TenantTransaction } from '#database/tenant';
import { localDate } from '#domain/calendar/local-date';
import { newId } from '#runtime/ids';
import { startTestApi, type TestApi } from '#tests/support/api';
import { asTenant } from '#tests/support/database';
import { makeAgreement, makeParty, makeRunningSite, makeSite, plainTerms, type Made } from '#tests/support/set-up';

let api: TestApi;
let running: { site: Made; party: Made; machine: Made; placement: Made; agreement: Made };
beforeAll(async () => {
  api = await startTestApi();
  running = await makeRunningSite(api.operator.as('owner'));
});
afterAll(() => api?.close());

const now = new Date('2026-03-31T12:00:00Z');

/** Visits a quarter of an hour apart from a day on, each with a count, a slip and a hand-out. */
function visits(howMany: number, from: string) {
  const { site, party, machine, placement } = running;
  const collections: NewCollection[] = [];
  const counts: NewCount[] = [];
  const slips: NewSlip[] = [];
  const handed: NewHanded[] = [];
  for (let index = 0; index < howMany; index += 1) {
    const happenedAt = new Date(Date.parse(from) + index * 15 * 60_000);
    const day = localDay({ instant: happenedAt, timeZone: 'America/Chicago' });
    if (day === null) throw new Error('fixture');
    const collection = { id: newId(), siteId: site.id, currency: 'USD', happenedAt, localDate: day, accountingDate: day, accountingReason: null, state: 'counted', collectedBy: null, importFileId: null, bagged: false } as const;
    const entry = { collectionId: collection.id, siteId: site.id, currency: 'USD' };
    const box = { placementId: placement.id, machineId: machine.id };
    collections.push(collection);
    counts.push({ id: newId(), ...entry, ...box, part: 1, removal: false, coinMinor: 1000n + BigInt(index), noteMinor: 500n, ...nothingBeside });
    slips.push({ id: newId(), ...entry, ...box, refundedOn: day, amountMinor: 25n, paidBy: 'operator', coinMinor: null });
    handed.push({ id: newId(), ...entry, partyId: party.id, amountMinor: 100n, acknowledgedBy: null, box: null, coinMinor: null });
  }
  return { collections, counts, slips, handed };
}

/** The transaction, counting the statements given to it. */
function counting(tx: TenantTransaction): { tx: TenantTransaction; statements: () => number } {
  let statements = 0;
  const counted: TenantTransaction = Object.create(tx, {
    sql: {
      value: (...statement: Parameters<TenantTransaction['sql']>) => {
        statements += 1;
        return tx.sql(...statement);
      },
    },
  }) as TenantTransaction;
  return { tx: counted, statements: () => statements };
}

async function bulk(howMany: number, from: string): Promise<{ recorded: number; accepted: number }> {
  const batch = visits(howMany, from);
  return asTenant(api.db, api.operator.tenantId, async (plain) => {
    const { tx, statements } = counting(plain);
    await recordCollections(tx, { ...batch, now });
    const recorded = statements();
    const outcome = await acceptCollections(tx, { collectionIds: batch.collections.map(({ id }) => id), now, newId });
    expect(outcome).toEqual({ ok: true, value: null });
    return { recorded, accepted: statements() - recorded };
  });
}

test('a thousand visits take as many statements as ten, and every one is in the journal', async () => {
  const warm = await bulk(10, '2025-02-01T12:00:00Z');
  const few = await bulk(10, '2025-03-01T12:00:00Z');
  // Some ten days: one month, as with the ten above.
  const many = await bulk(1000, '2025-05-02T12:00:00Z');
  expect(many).toEqual(few);
  expect(few.recorded).toBe(4);
  // One of them asks for boxes that were opened and not counted.
  expect(warm.accepted).toBeLessThan(20);

  const { rows } = await asTenant(api.db, api.operator.tenantId, (tx) =>
    tx.sql<{ account: string; minor: string }>(
      `SELECT split_part(account_code, ':', 1) AS account, sum(amount_minor) AS minor FROM journal_posting GROUP BY 1 ORDER BY 1`,
    ),
  );
  const counted = 1020n * 1500n + BigInt((999 * 1000) / 2 + 2 * ((9 * 10) / 2));
  expect(rows.map(({ account, minor }) => [account, BigInt(minor)])).toEqual([
    ['cash-handed', 102_000n],
    ['cash-in-counting-room', counted - 102_000n - 25_500n],
    ['refunds-advanced-by-operator', 25_500n],
    ['takings-to-settle', -counted],
  ]);
});

test('one that is not counted, or not there, keeps all others out of the books', async () => {
  const batch = visits(3, '2025-07-01T12:00:00Z');
  const [first, ...rest] = batch.collections;
  if (first === undefined) throw new Error('fixture');
  const open = { ...first, state: 'open' as const };
  await asTenant(api.db, api.operator.tenantId, (tx) => recordCollections(tx, { ...batch, collections: [open, ...rest], now }));
  const ids = batch.collections.map(({ id }) => id);
  const accept = (collectionIds: string[]) => asTenant(api.db, api.operator.tenantId, (tx) => acceptCollections(tx, { collectionIds, now, newId }));
  expect(await accept(ids)).toMatchObject({ ok: false, failure: { code: 'wrong-state' } });
  expect(await accept([...ids.slice(1), randomUUID()])).toMatchObject({ ok: false, failure: { code: 'not-found' } });
  const { rows } = await asTenant(api.db, api.operator.tenantId, (tx) => tx.sql(`SELECT FROM collection WHERE id = ANY ($1::uuid[]) AND state = 'accepted'`, [ids]));
  expect(rows).toEqual([]);
});

describe('periods on demand', () => {
  const days = (agreement: Made, ...dates: string[]) => dates.map((date) => ({ agreementId: agreement.id, date: localDate(date) }));
  const ensure = (wanted: ReturnType<typeof days>) => asTenant(api.db, api.operator.tenantId, (tx) => ensurePeriods(tx, { days: wanted, newId }));

  test('are made once, however many ask for them at the same moment', async () => {
    const answers = await Promise.all(Array.from({ length: 5 }, () => ensure(days(running.agreement, '2024-12-31', '2025-10-01', '2025-10-31', '2025-11-05'))));
    for (const answer of answers) expect(answer).toEqual(answers[0]);
    expect(answers[0]?.map((period) => period && [period.startsOn, period.endsBefore])).toEqual([
      null,
      ['2025-10-01', '2025-11-01'],
      ['2025-10-01', '2025-11-01'],
      ['2025-11-01', '2025-12-01'],
    ]);
  });

  test('follow the cycle of the version in force', async () => {
    const owner = api.operator.as('owner');
    const [site, party] = [await makeSite(owner), await makeParty(owner)];
    const fourWeeks = plainTerms({ partyId: party.id, cycle: { kind: 'four-weeks', anchor: '2025-06-01' } });
    const agreement = await makeAgreement(owner, { siteId: site.id, partyId: party.id, startedOn: '2025-04-10' });
    await owner.post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2025-06-01', terms: fourWeeks }).expect(201);
    const periods = await ensure(days(agreement, '2025-04-10', '2025-05-31', '2025-06-01', '2025-06-29'));
    expect(periods.map((period) => period && [period.startsOn, period.endsBefore])).toEqual([
      ['2025-04-01', '2025-05-01'],
      ['2025-05-01', '2025-06-01'],
      ['2025-06-01', '2025-06-29'],
      ['2025-06-29', '2025-07-27'],
    ]);
    // What was cut by months is not cut again.
    const again = await owner.post(`/v1/agreements/${agreement.id}/versions`, { effectiveFrom: '2025-05-01', terms: plainTerms({ partyId: party.id, cycle: { kind: 'four-weeks', anchor: '2025-05-01' } }) });
    expect(again.body.errors).toEqual([expect.objectContaining({ pointer: '#/terms/cycle', code: 'cycle-within-period' })]);
  });
});
