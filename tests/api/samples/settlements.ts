import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Sample, Samples } from '#tests/support/samples';
import { makeMachine, makePlacement } from '#tests/support/set-up';
import { siteUnderAgreement } from './agreements';

type Place = { operator: TestOperator; siteId: string; state?: string | undefined };
type Settled = { readonly id: string; readonly agreementId: string; readonly closeId: string };

const MONTH = '2025-01-01';
const usd = (amount: string) => ({ amount, currency: 'USD' });

/** One issued settlement per site, of the month in which the samples' first agreement holds; made once. */
const settled = new Map<string, Promise<Settled>>();

export function issuedAt(place: Place): Promise<Settled> {
  const key = `${place.operator.tenantId} ${place.siteId}`;
  const known = settled.get(key) ?? settle(place);
  settled.set(key, known);
  return known;
}

async function settle({ operator, siteId }: Place): Promise<Settled> {
  await siteUnderAgreement({ operator, siteId });
  const office = operator.as('owner');
  const machine = await makeMachine(office);
  await makePlacement(office, { machineId: machine.id, siteId });
  const counts = [{ machineTag: machine['tag'], coin: usd('100.00'), note: usd('20.00') }];
  const collection = await operator.as('collector').post('/v1/collections', { siteId, happenedAt: '2025-01-20T12:00:00Z', counts }).expect(201);
  await office.post(`/v1/collections/${collection.body.id as string}/accept`).expect(200);
  // Collections that other samples left open would stand in the way of the month.
  await operator.inBooks((tx) => tx.sql(`UPDATE collection SET accounting_date = '2025-03-01', accounting_reason = 'out of the way' WHERE state IN ('open', 'counted')`));
  const closeId = await closeOf(operator);
  await operator.work();
  const { items } = (await office.get(`/v1/settlements?siteId=${siteId}&startsOn=${MONTH}`).expect(200)).body as { items: { id: string; agreementId: string }[] };
  const [made] = items;
  if (made === undefined) throw new Error('nothing was settled');
  await office.post(`/v1/closes/${closeId}/review`, {}).expect(202);
  await operator.work();
  await office.post(`/v1/closes/${closeId}/issue`).expect(202);
  await operator.work();
  return { ...made, closeId };
}

/** The month is closed for the first site; the run settles those that come later. */
async function closeOf(operator: TestOperator): Promise<string> {
  const office = operator.as('owner');
  const { items } = (await office.get('/v1/closes?cycle=month').expect(200)).body as { items: { id: string; startsOn: string }[] };
  const known = items.find(({ startsOn }) => startsOn === MONTH);
  if (known === undefined) return (await office.post('/v1/closes', { cycle: 'month', startsOn: MONTH }).expect(202)).body.id as string;
  await office.post(`/v1/closes/${known.id}/settle-missing`).expect(202);
  return known.id;
}

const cleared = { number_year: null, number_serial: null, number: null, issued_on: null, accounting_date: null, digest: null, numbered_at: null, issued_at: null };
const notReviewed = { reviewed_at: null, reviewed_by: null };
/** What a settlement does not have yet in each state. */
const missingIn: { readonly [state: string]: object } = { draft: { ...cleared, ...notReviewed }, reviewed: cleared, numbered: { issued_at: null }, issued: {} };

/** A copy of the issued one in that state, as if it were settled anew: only the access table is asked about it. */
async function inState(place: Place): Promise<{ id: string; revision: number }> {
  const original = await issuedAt(place);
  const state = place.state ?? 'issued';
  const id = randomUUID();
  return place.operator.inBooks(async (tx) => {
    const { rows } = await tx.sql<{ serial: number }>('SELECT max(coalesce(number_serial, 0))::int + count(*)::int AS serial FROM settlement');
    const serial = (rows[0]?.serial ?? 0) + 1;
    const own = { standing_salt: null, standing_digest: null, id, state, round: serial, revision: 1, number_serial: serial, number: `COPY-${serial}`, ...missingIn[state] };
    await tx.sql('INSERT INTO settlement SELECT (jsonb_populate_record(s, $2)).* FROM settlement s WHERE s.id = $1', [original.id, JSON.stringify(own)]);
    return { id, revision: 1 };
  });
}

const onSettlement = (states: readonly string[], body?: object): Sample => ({
  states,
  prepare: async (place) => {
    const { id, revision } = await inState(place);
    return { params: { id }, revision, ...(body === undefined ? {} : { body }) };
  },
});

/** A settlement in that state after the words that make the next one possible. */
const afterWords = (states: readonly string[], kind: string): Sample => ({
  states,
  prepare: async (place) => {
    const { id } = await inState(place);
    await place.operator.inBooks((tx) =>
      tx.sql(`INSERT INTO settlement_event (tenant_id, id, settlement_id, kind, note, happened_at, happened_by) VALUES ($1, $2, $3, $4, 'Said before.', now(), $5)`, [tx.tenantId, randomUUID(), id, kind, tx.actor]),
    );
    return { params: { id }, body: { note: 'Asked and looked into.' } };
  },
});

const onClose = (body?: object): Sample => ({
  prepare: async (place) => ({ params: { id: (await issuedAt(place)).closeId }, ...(body === undefined ? {} : { body }) }),
});

export const samples: Samples = {
  'POST /v1/closes': { prepare: () => ({ body: { cycle: 'month', startsOn: MONTH } }) },
  'GET /v1/closes/{id}': onClose(),
  'POST /v1/closes/{id}/settle-missing': onClose(),
  'POST /v1/closes/{id}/review': onClose({}),
  'POST /v1/closes/{id}/issue': onClose(),
  'GET /v1/closes/{id}/statements': onClose(),
  'GET /v1/closes/{id}/statement-mails': onClose(),
  'POST /v1/closes/{id}/statement-mails': onClose({}),
  'GET /v1/month-end': { prepare: async (place) => ((await issuedAt(place)), { query: { cycle: 'month', startsOn: MONTH } }) },
  'GET /v1/month-end/agreements': { prepare: async (place) => ((await issuedAt(place)), { query: { cycle: 'month', startsOn: MONTH } }) },
  'GET /v1/settlements/{id}': onSettlement(['issued', 'draft', 'reviewed', 'numbered']),
  'POST /v1/settlements/preview': {
    prepare: async (place) => ({ body: { agreementId: (await issuedAt(place)).agreementId, startsOn: MONTH } }),
  },
  'POST /v1/settlements/{id}/review': onSettlement(['draft', 'reviewed', 'numbered', 'issued']),
  'POST /v1/settlements/{id}/reopen': onSettlement(['reviewed', 'draft', 'numbered', 'issued'], { note: 'A slip was forgotten.' }),
  'POST /v1/settlements/{id}/flag-override': onSettlement(['draft', 'reviewed', 'numbered', 'issued'], { reason: 'Looked into elsewhere.', flagIds: [], placementIds: [] }),
  'POST /v1/settlements/{id}/hold': onSettlement(['draft', 'reviewed', 'numbered', 'issued'], { note: 'The count looks odd.' }),
  'POST /v1/settlements/{id}/release': afterWords(['draft', 'reviewed', 'numbered', 'issued'], 'held'),
  'POST /v1/settlements/{id}/question': onSettlement(['issued', 'draft', 'reviewed', 'numbered'], { note: 'Why is it less?' }),
  'POST /v1/settlements/{id}/answer': afterWords(['issued', 'draft', 'reviewed', 'numbered'], 'questioned'),
  'POST /v1/settlements/{id}/recompute': onSettlement(['draft', 'reviewed', 'numbered', 'issued']),
  'POST /v1/settlements/{id}/reversal': onSettlement(['issued', 'draft', 'reviewed', 'numbered'], { reason: 'Counted for the wrong site.' }),
  'GET /v1/settlements/{id}/statement': onSettlement(['issued', 'draft', 'reviewed', 'numbered']),
  'POST /v1/what-if': {
    prepare: async (place) => ((await issuedAt(place)), { body: { startsOn: MONTH, endsBefore: '2025-02-01', siteIds: [place.siteId], changes: { loss: 'share' } } }),
  },
  'GET /v1/journal/trial-balance': { prepare: () => ({ query: { on: '2025-01-31' } }) },
  'GET /v1/journal/export': { prepare: () => ({ query: { format: 'csv', from: '2025-01-01', to: '2025-01-31' } }) },
  'GET /v1/evidence/leaves/{index}': { prepare: async (place) => ((await issuedAt(place)), { params: { index: '0' } }) },
  'GET /v1/evidence/inclusion': { prepare: async (place) => ((await issuedAt(place)), { query: { index: '0', size: '1' } }) },
  'GET /v1/evidence/consistency': { prepare: async (place) => ((await issuedAt(place)), { query: { from: '1', to: '1' } }) },
};
