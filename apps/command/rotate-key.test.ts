import { createHash, createHmac, randomUUID } from 'node:crypto';
import { dataKeyInUse, SIGNING_KEY_PURPOSE } from '#backoffice/certificate/signer';
import { FACTOR_PURPOSE } from '#backoffice/identity/check-second-factor';
import { hashPassword } from '#backoffice/identity/password';
import { accountSecretsUnder } from '#api/account-secrets';
import { systemClock } from '#runtime/clock';
import { newId } from '#runtime/ids';
import { deliverDue } from '#backoffice/webhook/deliver';
import type { WebhookRequest } from '#backoffice/webhook/post';
import type { PaymentRun } from '#contracts/payment-run';
import { checkSignature } from '#statement/sign/check-signature';
import { bringOne } from '#tests/api/samples/certificates';
import { startTestApi } from '#tests/support/api';
import { closeMonth, issueMonth, settlementOf } from '#tests/support/closing';
import { count, makeAcceptedCollection, moment } from '#tests/support/collecting';
import { makeRunningSite } from '#tests/support/set-up';
import { doWaitingWork, testMasterKey, workDeps } from '#tests/support/work';
import { operatorSecretsUnder } from '#runtime/operator-secrets';
import { masterKeyFrom, newKeyBytes } from '#runtime/secrets-at-rest';
import { onConnection } from '#tests/support/connection';
import { asTenant, createTenant, createTestDatabase, type TestDatabase } from '#tests/support/database';
import { rotateMasterKey } from './rotate-key';

const [oldKey, newKey, strangeKey] = [masterKeyFrom(newKeyBytes()), masterKeyFrom(newKeyBytes()), masterKeyFrom(newKeyBytes())];
const secret = Buffer.from('what must stay readable');

let db: TestDatabase;
beforeEach(async () => (db = await createTestDatabase()));
afterEach(() => db.drop());

/** An operator with a secret under its data key; gives how to open it under one master key alone. */
async function operatorWithSecret(): Promise<(masterKey: typeof oldKey) => Promise<Buffer>> {
  const tenantId = await createTenant(db);
  const under = operatorSecretsUnder([oldKey]);
  const dataKey = await asTenant(db, tenantId, (tx) => dataKeyInUse({ newId, clock: systemClock, operatorSecrets: under }, tx));
  const sealed = under.seal({ plaintext: secret, tenantId, purpose: SIGNING_KEY_PURPOSE, dataKey });
  return async (masterKey) => {
    const { rows } = await asTenant(db, tenantId, (tx) => tx.sql<{ id: string; wrapped: Buffer }>('SELECT id, wrapped_key AS wrapped FROM operator_data_key WHERE tenant_id = $1', [tenantId]));
    const dataKeys = rows.map(({ id, wrapped }) => ({ id, wrappedKey: wrapped }));
    return operatorSecretsUnder([masterKey]).open({ sealed, tenantId, purpose: SIGNING_KEY_PURPOSE, dataKeys });
  };
}

/** An account with a second factor; gives how to open it under one master key alone. */
async function accountWithFactor(): Promise<(masterKey: typeof oldKey) => Promise<Buffer>> {
  const accountId = randomUUID();
  const passwordHash = await hashPassword('seven blue lanterns 41');
  const sealed = accountSecretsUnder([oldKey]).seal({ plaintext: secret, accountId, purpose: FACTOR_PURPOSE });
  await onConnection(db.urls.superuser, (client) =>
    client.query(
      `INSERT INTO identity.user_account (id, email, email_hash, name, password_hash, password_changed_at, created_at, sealed_factor_secret, factor_confirmed_at) VALUES ($1, $2::text, sha256(convert_to($2::text, 'UTF8')), 'Orla', $4, now(), now(), $3, now())`,
      [accountId, `${accountId}@operator.example`, sealed, passwordHash],
    ),
  );
  return async (masterKey) => {
    const { rows } = await onConnection(db.urls.superuser, (client) => client.query<{ sealed: Buffer }>('SELECT sealed_factor_secret AS sealed FROM identity.user_account WHERE id = $1', [accountId]));
    return accountSecretsUnder([masterKey]).open({ sealed: rows[0]?.sealed ?? Buffer.alloc(0), accountId, purpose: FACTOR_PURPOSE });
  };
}

it('seals everything of all operators and accounts under the new key, so that the old one is needed no more', async () => {
  const opens = [await operatorWithSecret(), await operatorWithSecret(), await accountWithFactor()];
  const rotated = await rotateMasterKey({ ownerUrl: db.urls.owner, masterKeys: [newKey, oldKey] });
  expect(rotated).toEqual({ dataKeys: 2, accounts: 1, retiredKeyIds: [oldKey.id] });
  for (const open of opens) {
    expect(await open(newKey)).toEqual(secret);
    await expect(open(oldKey)).rejects.toThrow('does not open');
  }
  expect(await rotateMasterKey({ ownerUrl: db.urls.owner, masterKeys: [newKey] })).toEqual({ dataKeys: 0, accounts: 0, retiredKeyIds: [] });
});

it('changes nothing when one value opens under no key of the file, and names the key that is lacking', async () => {
  const opens = [await operatorWithSecret(), await accountWithFactor()];
  await expect(rotateMasterKey({ ownerUrl: db.urls.owner, masterKeys: [newKey, strangeKey] })).rejects.toThrow(oldKey.id);
  // The operators come first: of them, too, nothing is left behind when an account's is what does not open.
  await onConnection(db.urls.superuser, (client) => client.query(`UPDATE identity.user_account SET sealed_factor_secret = '\\x00'`));
  await expect(rotateMasterKey({ ownerUrl: db.urls.owner, masterKeys: [newKey, oldKey] })).rejects.toThrow('is damaged');
  expect(await opens[0]?.(oldKey)).toEqual(secret);
});

/** Columns of sealed values; who adds one shows below that it stays readable, and says so here. */
const SEALED = [
  'bank_detail.sealed_account',
  'payment_run.sealed_file',
  'signing_certificate.sealed_private_key',
  'taxpayer_number.sealed_number',
  'user_account.sealed_factor_secret',
  'webhook_secret.sealed_secret',
];

it('leaves accounts, payment files, taxpayer numbers, secrets of webhooks and brought keys readable under the new key alone', async () => {
  const api = await startTestApi({ now: '2026-04-02T15:00:00Z' });
  try {
    const [office, owner] = [api.operator.as('bookkeeper'), api.operator.as('owner')];
    const { rows } = await onConnection(api.db.urls.superuser, (client) => client.query<{ name: string }>(`SELECT table_name || '.' || column_name AS name FROM information_schema.columns WHERE column_name LIKE 'sealed%' AND table_schema IN ('public', 'identity') ORDER BY 1`));
    expect(rows.map(({ name }) => name)).toEqual(SEALED);

    const own = { kind: 'us', holderName: 'Lakeside', routingNumber: '111000025', accountNumber: '12345678', accountType: 'checking', holderKind: 'business', originator: { companyId: '1234567890', bankName: 'First Bank' } };
    const propose = async (partyId: string | null, account: object): Promise<string> => (await office.post('/v1/bank-details', { partyId, account, reason: 'Letter.' }).expect(201)).body.id as string;
    const confirm = (id: string, number: string) => owner.post(`/v1/bank-details/${id}/confirm`, { number, routingNumber: '111000025' });
    const { site, machine, party } = await makeRunningSite(office);
    await confirm(await propose(null, own), '12345678').expect(200);
    await confirm(await propose(party.id, { ...own, originator: null }), '12345678').expect(200);
    const waiting = await propose(party.id, { ...own, originator: null, accountNumber: '87654321' });
    const brought = await bringOne(api.operator);
    const issued = async (month: string, operator = api.operator) => {
      await makeAcceptedCollection(office, site, [count(machine, '100.00', '0.00')], { happenedAt: moment(`${month}-10`) });
      await issueMonth({ operator }, (await closeMonth({ operator }, `${month}-01`)).id);
      return settlementOf(api, { siteId: site.id, startsOn: `${month}-01` });
    };
    await issued('2026-02');
    const run = (await office.post('/v1/payment-runs', { executeOn: '2026-04-03' }).expect(201)).body as PaymentRun;
    const made = (await office.post(`/v1/payment-runs/${run.id}/make-file`).expect(200)).body as PaymentRun;
    await office.post('/v1/taxpayer-numbers', { partyId: party.id, number: '12-3456789' }).expect(201);
    const webhook = (await owner.post('/v1/webhooks', { name: 'Accounting', url: 'https://books.example/in', eventTypes: ['settlement.issued'] }).expect(201)).body as { id: string; secret: string };

    expect(await rotateMasterKey({ ownerUrl: api.db.urls.owner, masterKeys: [newKey, testMasterKey] })).toMatchObject({ dataKeys: 1, retiredKeyIds: [testMasterKey.id] });
    // From here on nothing knows the old key.
    const operatorSecrets = operatorSecretsUnder([newKey]);
    Object.assign(api.backoffice, { operatorSecrets });
    const after = { ...api.operator, work: () => doWaitingWork(workDeps(api.backoffice, { operatorSecrets }), api.operator.tenantId) };

    const file = await office.get(`/v1/payment-runs/${run.id}/file`).expect(200);
    expect(createHash('sha256').update(file.body as Buffer).digest('hex')).toBe(made.fileSha256);
    await confirm(waiting, '12345678').expect(422);
    await confirm(waiting, '87654321').expect(200);
    expect((await office.get('/v1/year-end/export?year=2026').expect(200)).text).toContain('year,payee');
    await office.post(`/v1/payment-runs/${run.id}/confirm`, { sentOn: '2026-04-02' }).expect(200);
    await office.post(`/v1/payment-runs/${run.id}/record-payments`, { paidOn: '2026-04-02' }).expect(200);
    expect((await office.get('/v1/year-end/export?year=2026').expect(200)).text).toContain(',12-3456789,');
    // The key that the operator brought signs on.
    const march = await issued('2026-03', after);
    const check = await checkSignature((await office.get(`/v1/settlements/${march.id}/statement`).expect(200)).body as Buffer);
    const { items: certificates } = (await owner.get('/v1/signing-certificates').expect(200)).body as { items: { id: string; fingerprint: string }[] };
    expect(check).toMatchObject({ found: true, report: { signatureValid: true, certificateFingerprint: certificates.find(({ id }) => id === brought)?.fingerprint } });
    const told: WebhookRequest[] = [];
    const deps = { ...api.backoffice, onTrouble: (error: unknown) => { throw error; }, post: async (request: WebhookRequest) => (told.push(request), { kind: 'answered', status: 204, text: '', retryAfter: undefined } as const) };
    expect(await deliverDue(deps, api.operator.tenantId)).toBe(1);
    const [request] = told;
    const id = request?.headers['webhook-id'] ?? '';
    const signedText = `${id}.${request?.headers['webhook-timestamp'] ?? ''}.${request?.body ?? ''}`;
    const mac = createHmac('sha256', Buffer.from(webhook.secret.replace('whsec_', ''), 'base64')).update(signedText).digest('base64');
    expect(request?.headers['webhook-signature']).toBe(`v1,${mac}`);
  } finally {
    await api.close();
  }
});
