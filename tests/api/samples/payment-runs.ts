import { randomUUID } from 'node:crypto';
import type { TestOperator } from '#tests/support/api';
import type { Sample, Samples } from '#tests/support/samples';
import { IBAN } from './bank-details';
import { issuedAt } from './settlements';

type Place = { operator: TestOperator; siteId: string };

const account = { kind: 'iban', holderName: 'Harbor Bar', iban: IBAN, bic: null };
const executeOn = '2026-04-01';

async function inForce(operator: TestOperator, partyId: string | null): Promise<void> {
  const query = partyId === null ? 'of=operator' : `partyId=${partyId}`;
  const { items } = (await operator.as('owner').get(`/v1/bank-details?${query}&state=in-force`).expect(200)).body as { items: object[] };
  if (items.length > 0) return;
  const made = await operator.as('bookkeeper').post('/v1/bank-details', { partyId, account, reason: 'Letter of the owner.' }).expect(201);
  await operator.as('owner').post(`/v1/bank-details/${made.body.id as string}/confirm`, { number: IBAN }).expect(200);
}

/** A settlement that can be paid: any run that holds it is cancelled, or, where the bank has it, its payment comes back. */
async function payable(place: Place): Promise<{ settlementId: string }> {
  const owner = place.operator.as('owner');
  const { id: settlementId } = await issuedAt(place);
  const { items } = (await owner.get(`/v1/open-items?settlementId=${settlementId}`).expect(200)).body as { items: { partyId: string }[] };
  await inForce(place.operator, null);
  await inForce(place.operator, items[0]?.partyId ?? '');
  await place.operator.inBooks(async (tx) => {
    const taken = `SELECT t.run_id FROM payment_run_item i JOIN payment_run_transfer t ON t.id = i.transfer_id JOIN open_item o ON o.id = i.open_item_id WHERE o.settlement_id = $1 AND i.released_at IS NULL`;
    await tx.sql(`UPDATE payment_run SET state = 'cancelled', cancelled_at = now(), cancelled_by = 'system:samples', cancel_reason = 'out of the way' WHERE state IN ('draft', 'file-made') AND id IN (${taken})`, [settlementId]);
    await tx.sql('UPDATE payment_run_item i SET released_at = now() FROM open_item o WHERE o.id = i.open_item_id AND o.settlement_id = $1 AND i.released_at IS NULL', [settlementId]);
    await tx.sql(
      `INSERT INTO payment_match (tenant_id, id, kind, payment_id, open_item_id, agreement_id, party_id, currency, amount_minor, accounting_date, note, recorded_at, recorded_by)
       SELECT m.tenant_id, gen_random_uuid(), 'unmatched', m.payment_id, m.open_item_id, m.agreement_id, m.party_id, m.currency, -sum(m.amount_minor), max(m.accounting_date), 'out of the way', now(), 'system:samples'
         FROM payment_match m JOIN open_item o ON o.id = m.open_item_id WHERE o.settlement_id = $1 GROUP BY 1, 4, 5, 6, 7, 8 HAVING sum(m.amount_minor) <> 0`,
      [settlementId],
    );
  });
  return { settlementId };
}

type Step = 'draft' | 'file-made' | 'downloaded' | 'sent';

async function runAt(place: Place, step: Step): Promise<string> {
  const owner = place.operator.as('owner');
  const { settlementId } = await payable(place);
  const id = randomUUID();
  await owner.post('/v1/payment-runs', { id, executeOn, settlementIds: [settlementId] }).expect(201);
  if (step !== 'draft') await owner.post(`/v1/payment-runs/${id}/make-file`).expect(200);
  if (step === 'downloaded' || step === 'sent') await owner.get(`/v1/payment-runs/${id}/file`).expect(200);
  if (step === 'sent') await owner.post(`/v1/payment-runs/${id}/confirm`, { sentOn: '2026-03-31' }).expect(200);
  return id;
}

const onRun = (step: Step, body?: object): Sample => ({ prepare: async (place) => ({ params: { id: await runAt(place, step) }, ...(body === undefined ? {} : { body }) }) });

export const samples: Samples = {
  'POST /v1/payment-runs': { prepare: async (place) => ({ body: { executeOn, settlementIds: [(await payable(place)).settlementId] } }) },
  'GET /v1/payment-runs/{id}': onRun('draft'),
  'GET /v1/payment-runs/{id}/file': onRun('file-made'),
  'POST /v1/payment-runs/{id}/make-file': onRun('draft'),
  'POST /v1/payment-runs/{id}/confirm': onRun('downloaded', { sentOn: '2026-03-31' }),
  'POST /v1/payment-runs/{id}/record-payments': onRun('sent', { paidOn: '2026-03-31' }),
  'POST /v1/payment-runs/{id}/cancel': onRun('draft', { reason: 'Drafted by mistake.' }),
};
