import { FACTOR_PURPOSE } from '#backoffice/identity/check-second-factor';
import { readStartConfiguration } from '#runtime/configuration';
import { configurationOrExit } from '#runtime/lifecycle';
import { readMasterKeyFile, type MasterKeys } from '#runtime/master-key-file';
import { keyIdOf, open, seal, sealedForAccount, unwrapDataKey, wrapDataKey, type Opened } from '#runtime/secrets-at-rest';
import type { Client } from 'pg';
import { onConnection, openDatabases } from './databases';
import { CommandFailure, runCommand, say } from './failure';

const USAGE = `npm run rotate-key

Seals under the first key of MASTER_KEY_FILE what is sealed under one of the others. Before: put a new key above the
old one in that file (openssl rand -base64 32), and start api and worker anew, so that they know it.`;

export type Rotated = { readonly dataKeys: number; readonly accounts: number; readonly retiredKeyIds: readonly string[] };

/**
 * Seals anew, under the present master key, the data keys of all operators and the second factors of all accounts; what operators
 * keep under their data keys needs no touch. One transaction: after a crash, or when one value opens under no key of the file,
 * everything is as it was. What is under the present key already is left alone, so a second run changes nothing.
 *
 * @param ownerUrl connection string of the role that owns the tables.
 */
export function rotateMasterKey({ ownerUrl, masterKeys }: { ownerUrl: string; masterKeys: MasterKeys }): Promise<Rotated> {
  return onConnection(ownerUrl, async (client) => {
    await client.query('BEGIN');
    const retired = new Set<string>();
    const { rows: operators } = await client.query<{ tenant_id: string }>('SELECT tenant_id FROM operator ORDER BY tenant_id');
    let dataKeys = 0;
    for (const { tenant_id: tenantId } of operators) dataKeys += await wrapAnew(client, { tenantId, masterKeys, retired });
    const accounts = await sealAccountsAnew(client, { masterKeys, retired });
    await client.query('COMMIT');
    return { dataKeys, accounts, retiredKeyIds: [...retired].sort() };
  });
}

async function wrapAnew(client: Client, { tenantId, masterKeys, retired }: { tenantId: string; masterKeys: MasterKeys; retired: Set<string> }): Promise<number> {
  const [present] = masterKeys;
  // Row security shows the owner of the tables no more than one operator at a time, and the audit trail wants a name.
  await client.query(`SELECT set_config('app.tenant', $1, true), set_config('app.actor', 'system:rotate-key', true)`, [tenantId]);
  const { rows } = await client.query<{ id: string; wrapped_key: Buffer; master_key_id: string }>(
    'SELECT id, wrapped_key, master_key_id FROM operator_data_key WHERE tenant_id = $1 AND master_key_id <> $2 FOR UPDATE',
    [tenantId, present.id],
  );
  for (const { id, wrapped_key: wrapped, master_key_id: masterKeyId } of rows) {
    const dataKey = openedOf(unwrapDataKey({ wrapped, masterKeys, tenantId }), `the data key of operator ${tenantId}`);
    await client.query('UPDATE operator_data_key SET wrapped_key = $3, master_key_id = $4 WHERE tenant_id = $1 AND id = $2', [
      tenantId,
      id,
      wrapDataKey({ dataKey, masterKey: present, tenantId }),
      present.id,
    ]);
    retired.add(masterKeyId);
  }
  return rows.length;
}

async function sealAccountsAnew(client: Client, { masterKeys, retired }: { masterKeys: MasterKeys; retired: Set<string> }): Promise<number> {
  const [present] = masterKeys;
  const { rows } = await client.query<{ id: string; sealed: Buffer }>(
    'SELECT id, sealed_factor_secret AS sealed FROM identity.user_account WHERE sealed_factor_secret IS NOT NULL ORDER BY id FOR UPDATE',
  );
  const old = rows.filter(({ sealed }) => keyIdOf(sealed) !== present.id);
  for (const { id, sealed } of old) {
    const owned = sealedForAccount({ accountId: id, purpose: FACTOR_PURPOSE });
    const plaintext = openedOf(open({ sealed, keys: masterKeys, ...owned }), `the second factor of account ${id}`);
    await client.query('UPDATE identity.user_account SET sealed_factor_secret = $2 WHERE id = $1', [id, seal({ plaintext, key: present, ...owned })]);
    retired.add(keyIdOf(sealed) ?? '');
  }
  return old.length;
}

function openedOf(opened: Opened, what: string): Buffer {
  if (opened.ok) return opened.value;
  const why = opened.reason === 'unknown-key' ? `is sealed under the master key ${opened.keyId}, which MASTER_KEY_FILE lacks. Add it as a line of that file.` : 'is damaged.';
  throw new CommandFailure(`Nothing was changed: ${what} ${why}`);
}

/** `npm run rotate-key`: see USAGE. */
async function main(): Promise<void> {
  const configuration = configurationOrExit(readStartConfiguration(process.env));
  const file = readMasterKeyFile(configuration.masterKeyFile);
  if (!file.ok) throw new CommandFailure(`MASTER_KEY_FILE: ${file.message}`);
  const databases = await openDatabases(configuration);
  try {
    const { dataKeys, accounts, retiredKeyIds } = await rotateMasterKey({ ownerUrl: databases.urlFor('owner'), masterKeys: file.keys });
    say(`Sealed under the master key ${file.keys[0].id}: ${dataKeys} data keys, ${accounts} second factors.`);
    if (retiredKeyIds.length > 0) say(`Nothing is sealed any more under ${retiredKeyIds.join(', ')}. Backups made before need it still: keep it with them.`);
  } finally {
    await databases.close();
  }
}

if (require.main === module) runCommand(main, USAGE);
