import type { CreateKeyStore, KeyStore } from '#contracts/key-store';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { taken } from '../refusal';
import { insertStore } from './key-store.sql';

const constraints = { key_store_pkey: taken(['id'], 'a key store with this id'), key_store_tenant_id_code_key: taken(['code'], 'a key store with this code') };

/** Records where keys are kept. Nobody answers for it until a custodian is appointed. */
export async function createKeyStore(deps: Backoffice, caller: Caller, command: CreateKeyStore): Promise<Outcome<KeyStore>> {
  return perform(
    deps,
    caller,
    'key-store.create',
    async ({ tx, now }) => {
      const store = { id: command.id ?? deps.newId(), code: command.code, name: command.name, kind: command.kind };
      await insertStore(tx, { ...store, now });
      return done({ ...store, custodian: null });
    },
    { constraints },
  );
}
