import { randomUUID } from 'node:crypto';
import { dataKeyInUse, SIGNING_KEY_PURPOSE } from '#backoffice/certificate/signer';
import { FACTOR_PURPOSE } from '#backoffice/identity/check-second-factor';
import { hashPassword } from '#backoffice/identity/password';
import { accountSecretsUnder } from '#api/account-secrets';
import { systemClock } from '#runtime/clock';
import { newId } from '#runtime/ids';
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
