import type { CreateKeyRing, KeyRing } from '#contracts/key-ring';
import { done, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { taken } from '../refusal';
import { insertRing } from './key-ring.sql';

const constraints = { key_ring_pkey: taken(['id'], 'a ring with this id'), key_ring_tenant_id_code_key: taken(['code'], 'a ring with this code') };

/** Records an empty ring. */
export async function createKeyRing(deps: Backoffice, caller: Caller, command: CreateKeyRing): Promise<Outcome<KeyRing>> {
  return perform(
    deps,
    caller,
    'key-ring.create',
    async ({ tx, now }) => {
      const ring = { id: command.id ?? deps.newId(), code: command.code };
      await insertRing(tx, { ...ring, now });
      return done({ ...ring, copies: [] });
    },
    { constraints },
  );
}
