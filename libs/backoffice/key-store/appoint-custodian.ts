import type { AppointCustodian, KeyStore } from '#contracts/key-store';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { momentOf } from '../moment';
import { perform } from '../perform';
import { allowedThroughout, mayActAlone, policyAt } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { fieldFailure } from '../refusal';
import { endCustodian, insertCustodian, lockStore, selectLastCustodian, selectStore, whoCollects } from './key-store.sql';

const notOfTheOperator = fieldFailure('invalid-command', {
  path: ['personId'],
  code: 'not-of-the-operator',
  message: 'Keys that nobody was given are kept by one of the operator’s own people.',
});

/**
 * Says who answers for the keys of a store from a moment on. A change of custodian makes an inventory due. Who collects
 * keeps no such keys unless the policy allows it, and then it is labelled.
 */
export async function appointCustodian(deps: Backoffice, caller: Caller, command: { readonly id: string } & AppointCustodian): Promise<Outcome<KeyStore>> {
  const { id, personId } = command;
  return perform(
    deps,
    caller,
    'key-store.appoint',
    async ({ tx, now }) => {
      if (!(await lockStore(tx, id))) return refused('not-found');
      const since = momentOf(command.since, { now, field: 'since' });
      if (!since.ok) return since;
      const last = await selectLastCustodian(tx, id);
      // Whoever has it still is followed at a later moment; after somebody who gave it up, at that moment or later.
      const tooEarly = last !== null && (last.ended_at === null ? since.value <= last.started_at : since.value < last.ended_at);
      if (tooEarly) {
        const until = (last.ended_at ?? last.started_at).toISOString();
        return refusedFields('invalid-command', [{ path: ['since'], code: 'before-predecessor', message: `Somebody else answers for it at that time already, up to ${until} at least.` }]);
      }
      if (last !== null && last.ended_at === null) await endCustodian(tx, { id: last.id, at: since.value, now });
      if (personId !== null) {
        const custodianId = deps.newId();
        await insertCustodian(tx, { id: custodianId, storeId: id, personId, since: since.value, now });
        const collects = await whoCollects(tx, { personId, now });
        if (collects !== null) {
          const allowed = (await mayActAlone(tx, await policyAt(tx, since.value))) || (await allowedThroughout(tx, { from: since.value, to: now }, ({ custodianApart }) => !custodianApart));
          if (!allowed) return refusedFields('invalid-command', [{ path: ['personId'], code: 'collects', message: `${collects} collects cash: somebody else keeps the keys that nobody was given. An owner may allow it, from the day on which they do.` }]);
          await labelRelaxed(tx, { recordId: custodianId, rule: 'custodian-apart', kind: 'custodian', now });
        }
      }
      const store = await selectStore(tx, { id, now });
      if (store === null) throw new Error(`key store ${id} is gone`);
      return done(store);
    },
    { constraints: { key_custodian_person: notOfTheOperator, key_custodian_of_the_operator: notOfTheOperator } },
  );
}
