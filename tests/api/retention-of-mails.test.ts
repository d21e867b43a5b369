import { randomUUID } from 'node:crypto';
import { removeWhatIsOver } from '#backoffice/retention/remove';
import { bringOne } from '#tests/api/samples/certificates';
import { trustAnyClock } from '#tests/support/any-clock';
import { startTestApi, type TestApi } from '#tests/support/api';
import { makeRunningSite, type Made } from '#tests/support/set-up';

// As in retention.test.ts: mails of 2026 go on 1 January 2034.

let api: TestApi;
beforeAll(async () => {
  api = await startTestApi({ now: '2026-05-02T15:00:00Z' });
  await trustAnyClock(api.db);
});
afterAll(() => api?.close());

test('of mails those go with their addresses that told a payee of an account or another address, and an office of a certificate that ends; what was not brought to an end stays', async () => {
  const [office, boss] = [api.operator.as('bookkeeper'), api.operator.as('owner')];
  const { party } = await makeRunningSite(office);
  const { id } = (await office.post('/v1/bank-details', { partyId: party.id, account: { kind: 'us', holderName: 'Weir Inn', routingNumber: '111000025', accountNumber: '12345678', accountType: 'checking', holderKind: 'business', originator: null }, reason: 'Letter of the owner.' }).expect(201)).body as Made;
  const certificateId = await bringOne(api.operator);
  await api.operator.inBooks(async (tx) => {
    const at = api.clock.now();
    for (const state of ['sent', 'waiting']) {
      await tx.sql(
        `INSERT INTO party_address_change (tenant_id, id, party_id, old_email, new_email, happened_at, happened_by, state, attempts, changed_at) VALUES ($1, $2, $3, 'old@inn.example', 'new@inn.example', $4, 'system:test', $5, 1, $4)`,
        [tx.tenantId, randomUUID(), party.id, at, state],
      );
      await tx.sql(
        `INSERT INTO bank_detail_payee_mail (tenant_id, bank_detail_id, about, email, state, attempts, changed_at) VALUES ($1, $2, $3, 'old@inn.example', 'sent', 1, $4)`,
        [tx.tenantId, id, state === 'sent' ? 'proposed' : 'withdrawn', at],
      );
      await tx.sql('INSERT INTO certificate_end_mail (tenant_id, certificate_id, days_before, account_id, state, attempts, changed_at) VALUES ($1, $2, $3, $4, $5, 1, $6)', [
        tx.tenantId,
        certificateId,
        state === 'sent' ? 30 : 7,
        boss.id,
        state,
        at,
      ]);
    }
    // Of the proposal all was announced; of what is told beside it, nothing yet.
    await tx.sql(`INSERT INTO bank_detail_notice (tenant_id, bank_detail_id, about, addresses, sent_at) VALUES ($1, $2, 'proposed', 1, $3)`, [tx.tenantId, id, at]);
  });
  await boss.post('/v1/retention', { kind: 'mails', keep: 7, reason: 'As our adviser said' }).expect(201);
  const tables = ['party_address_change', 'bank_detail_payee_mail', 'certificate_end_mail'];
  const left = () => Promise.all(tables.map((table) => api.operator.inBooks(async (tx) => (await tx.sql(`SELECT 1 FROM ${table} WHERE tenant_id = $1`, [tx.tenantId])).rows.length)));
  expect(await left()).toEqual([2, 2, 2]);

  api.clock.set(new Date('2034-01-02T15:00:00Z'));
  await removeWhatIsOver(api.backoffice, {
    onTrouble: (error) => {
      throw error;
    },
  });
  expect(await left()).toEqual([1, 1, 1]);
  const trail = await api.operator.inBooks((tx) => tx.sql<{ action: string }>('SELECT action FROM audit_entry WHERE tenant_id = $1 AND table_name = ANY ($2)', [tx.tenantId, tables]));
  expect(trail.rows.map(({ action }) => action)).toEqual(['insert', 'insert']);
});
