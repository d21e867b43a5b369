import type { AttestedKeys, AttestKeys, CloseKeyInventory, CountKeys, KeyInventory, OpenKeyInventory, SurplusKeyFound } from '#contracts/key-inventory';
import { done, refused, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Holder, Whereabouts } from '#domain/keys/custody';
import type { Caller } from '../caller';
import { selectParties, selectSpeakers } from '../custody/event.sql';
import { custodyConstraints, enterInLog, writeEvents } from '../custody/record-events';
import { lockCopies } from '../custody/timeline.sql';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { mayActAlone, policyAt } from '../policy/policy';
import { labelRelaxed } from '../policy/policy.sql';
import { fieldFailure, taken, unknownReference } from '../refusal';
import { closeInventory, insertCounts, insertInventory, insertSurplus, type NewCount } from './count.sql';
import { readInventory } from './read';
import { holdInventory, selectInventoried, type InventoriedRow } from './read.sql';

const countedTwice = { key_inventory_count_pkey: { code: 'changed-meanwhile' } } as const;

/** Opens a count of every copy, or of what lies in one store. */
export async function openKeyInventory(deps: Backoffice, caller: Caller, command: OpenKeyInventory): Promise<Outcome<KeyInventory>> {
  return perform(
    deps,
    caller,
    'key-inventory.open',
    async ({ tx, now }) => {
      const id = command.id ?? deps.newId();
      await insertInventory(tx, { id, cause: command.cause, storeId: command.storeId ?? null, reason: command.reason, now });
      return done(await readInventory(tx, id));
    },
    {
      constraints: {
        key_inventory_pkey: taken(['id'], 'an inventory with this id'),
        key_inventory_store: unknownReference(['storeId'], 'store'),
        key_inventory_one_open: fieldFailure('already-exists', { path: ['storeId'], code: 'inventory-open', message: 'An inventory of the same keys is open already: go on with that one.' }),
      },
    },
  );
}

/**
 * Takes down copies that the counter saw, each as an event of custody: one that was missing is found by it, and one that
 * the books had elsewhere is there from now on. Nobody counts what they keep themselves; of an account that is bound to no
 * person, whatever its role, nobody can tell what its owner keeps, so it counts as one who does.
 */
export async function countKeys(deps: Backoffice, caller: Caller, command: CountKeys & { readonly id: string }): Promise<Outcome<KeyInventory>> {
  return perform(
    deps,
    caller,
    'key-inventory.count',
    async ({ tx, now }) => {
      const asked = await askedCopies(tx, command);
      if (!asked.ok) return asked;
      const [at] = await selectParties(tx, [command.at]);
      if (at === undefined) return refusedFields('invalid-command', [{ path: ['at', 'id'], code: 'unknown', message: `There is no ${command.at.kind} with this id.` }]);
      const keepers = await Promise.all([command.at, ...asked.value.flatMap(({ expected }) => (expected.state === 'held' ? [expected.holder] : []))].map((holder) => selectSpeakers(tx, { holder, at: now })));
      const unbound = caller.kind === 'user' && caller.personId === null;
      const alone = unbound || (caller.kind === 'user' && caller.personId !== null && keepers.flat().includes(caller.personId));
      if (alone && !(await mayActAlone(tx, await policyAt(tx, now)))) {
        return unbound
          ? refused('wrong-person', { detail: 'Your account is bound to no person, so nobody can tell whether you keep these keys yourself: an owner says under Colleagues whose account it is.' })
          : refused('second-person-needed', { detail: 'You keep these keys yourself: somebody else counts them.' });
      }
      const groups = (['missing', 'held'] as const).map((state) => asked.value.filter(({ expected }) => expected.state === state)).filter((group) => group.length > 0);
      const recording = { tx, now, caller, newId: deps.newId };
      const recorded = await writeEvents(
        recording,
        groups.map((group) => ({
          kind: group[0]?.expected.state === 'missing' ? ('found' as const) : ('seen' as const),
          keyCopyIds: group.map(({ keyCopyId }) => keyCopyId),
          to: command.at,
          reason: 'Seen when the keys were counted',
        })),
      );
      if (!recorded.ok) return recorded;
      const counts = groups.flatMap((group, index) => group.map(({ keyCopyId, expected }): NewCount => ({ keyCopyId, expected, how: 'seen', eventId: recorded.value.ids[index] ?? null, at: command.at })));
      await insertCounts(tx, { inventoryId: command.id, counts, now, alone });
      if (alone) await labelRelaxed(tx, { recordId: command.id, rule: 'second-person', kind: 'key-count', now });
      const inventory = await readInventory(tx, command.id);
      await enterInLog(recording, recorded.value.entries);
      return done(inventory);
    },
    { constraints: { ...custodyConstraints, ...countedTwice } },
  );
}

/** A holder says, signed in, that they have these copies. Keys in a store are seen by somebody else, never attested. */
export async function attestKeys(deps: Backoffice, caller: Caller, command: AttestKeys & { readonly id: string }): Promise<Outcome<AttestedKeys>> {
  return perform(
    deps,
    caller,
    'key-inventory.attest',
    async ({ tx, now }) => {
      const asked = await askedCopies(tx, command);
      if (!asked.ok) return asked;
      const personId = caller.kind === 'user' ? caller.personId : null;
      const counts: NewCount[] = [];
      const wrong: WrongField[] = [];
      for (const { keyCopyId, expected } of asked.value) {
        const path = ['keyCopyIds', command.keyCopyIds.indexOf(keyCopyId)];
        if (expected.state === 'held' && expected.holder.kind === 'store') wrong.push({ path, code: 'in-store', message: 'This key lies in a store: somebody who does not keep the store sees it there.' });
        else if (expected.state !== 'held' || personId === null || !(await selectSpeakers(tx, { holder: expected.holder, at: now })).includes(personId)) {
          wrong.push({ path, code: 'not-with-you', message: 'The books do not have this key with you.' });
        } else counts.push({ keyCopyId, how: 'attested', eventId: null, at: expected.holder, expected });
      }
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      await insertCounts(tx, { inventoryId: command.id, counts, now, alone: false });
      return done({ attested: counts.length });
    },
    { constraints: countedTwice },
  );
}

/** Takes down a key that turned up and is in no books. */
export async function recordSurplusKey(deps: Backoffice, caller: Caller, command: SurplusKeyFound & { readonly id: string }): Promise<Outcome<KeyInventory>> {
  return perform(
    deps,
    caller,
    'key-inventory.count',
    async ({ tx, now }) => {
      const open = await holdOpen(tx, command.id);
      if (!open.ok) return open;
      await insertSurplus(tx, { id: deps.newId(), inventoryId: command.id, keyCodeId: command.keyCodeId ?? null, note: command.note, now });
      return done(await readInventory(tx, command.id));
    },
    { constraints: { key_inventory_surplus_code: unknownReference(['keyCodeId'], 'key code') } },
  );
}

/** Closes a count with its result: the equation of each cut, and everything that does not fit it. */
export async function closeKeyInventory(deps: Backoffice, caller: Caller, command: CloseKeyInventory & { readonly id: string }): Promise<Outcome<KeyInventory>> {
  return perform(deps, caller, 'key-inventory.close', async ({ tx, now }) => {
    const open = await holdOpen(tx, command.id);
    if (!open.ok) return open;
    // Copies stay where they are until the result is written.
    await lockCopies(tx, (await selectInventoried(tx, command.id)).map(({ key_copy_id: id }) => id));
    const { id, lines, discrepancies } = await readInventory(tx, command.id);
    await closeInventory(tx, { id, lines, discrepancies, at: now, reason: command.reason, newId: deps.newId });
    return done(await readInventory(tx, command.id));
  });
}

async function holdOpen(tx: TenantTransaction, id: string): Promise<Outcome<null>> {
  const row = await holdInventory(tx, id);
  if (row === null) return refused('not-found');
  return row.closed_at === null ? done(null) : refused('wrong-state', { detail: 'The inventory is closed.' });
}

type Asked = { readonly keyCopyId: string; readonly expected: Whereabouts };

/** The copies of a command, held, with where the books have each; what the count does not ask for, or has, is refused. */
async function askedCopies(tx: TenantTransaction, command: { readonly id: string; readonly keyCopyIds: readonly string[] }): Promise<Outcome<Asked[]>> {
  const open = await holdOpen(tx, command.id);
  if (!open.ok) return open;
  await lockCopies(tx, command.keyCopyIds);
  const rows = new Map((await selectInventoried(tx, command.id)).map((row) => [row.key_copy_id, row]));
  const wrong: WrongField[] = [];
  const asked: Asked[] = [];
  for (const [index, keyCopyId] of command.keyCopyIds.entries()) {
    const refuse = (code: string, message: string) => wrong.push({ path: ['keyCopyIds', index], code, message });
    const row = rows.get(keyCopyId);
    if (row === undefined || !row.asked) refuse('not-asked-for', 'This inventory does not ask for a copy with this id.');
    else if (row.state === 'destroyed') refuse('destroyed', `${row.number} was destroyed. If it is there, correct that event.`);
    else if (row.how !== null) refuse('counted-already', `${row.number} was counted already.`);
    else asked.push({ keyCopyId, expected: expectedOf(row) });
  }
  return wrong.length > 0 ? refusedFields('invalid-command', wrong) : done(asked);
}

function expectedOf(row: InventoriedRow): Whereabouts {
  const holder: Holder | null = row.holder_kind === null ? null : { kind: row.holder_kind, id: row.holder_id };
  return holder === null ? { state: 'missing' } : { state: 'held', holder };
}
