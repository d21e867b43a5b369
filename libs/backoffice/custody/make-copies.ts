import type { MadeKeyCopies, MakeKeyCopies } from '#contracts/custody';
import { done, refusedFields, type Outcome, type WrongField } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { heldAt, timelineOf } from '#domain/keys/custody';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectKeyCode } from '../key-code/key-code.sql';
import { perform } from '../perform';
import { insertCopies, selectTakenNumbers } from './make-copies.sql';
import { toKeyCopy } from './read';
import { selectKeyCopies } from './read.sql';
import { custodyConstraints, recordEvents } from './record-events';
import { lockCopies, selectFacts } from './timeline.sql';

/** Puts new copies of a cut into the books and into a store: made, or cut from one that there is. */
export async function makeKeyCopies(deps: Backoffice, caller: Caller, command: MakeKeyCopies): Promise<Outcome<MadeKeyCopies>> {
  return perform(
    deps,
    caller,
    'key-copy.make',
    async ({ tx, now }) => {
      const happenedAt = command.happenedAt === undefined ? undefined : new Date(command.happenedAt);
      const wrong = await wrongCopies(tx, command, happenedAt ?? now);
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const taken = await selectTakenNumbers(tx, command.numbers);
      if (taken.length > 0) return refusedFields('already-exists', taken.map((number) => ({ path: ['numbers', command.numbers.indexOf(number)], code: 'taken', message: `There is a copy with the number ${number} already.` })));

      const copies = command.numbers.map((number) => ({ id: deps.newId(), number }));
      await insertCopies(tx, { copies, keyCodeId: command.keyCodeId, duplicatedFromId: command.duplicatedFromId ?? null, now });
      const recorded = await recordEvents({ tx, now, caller, newId: deps.newId }, [
        {
          kind: command.duplicatedFromId === undefined ? 'made' : 'duplicated',
          keyCopyIds: copies.map(({ id }) => id),
          to: { kind: 'store', id: command.storeId },
          happenedAt,
          reason: command.reason,
        },
      ]);
      if (!recorded.ok) return recorded;
      const rows = await selectKeyCopies(tx, { after: null, limit: null, keyCodeId: null, state: null, ids: copies.map(({ id }) => id) });
      return done({ eventId: recorded.value[0] ?? '', items: rows.map(toKeyCopy) });
    },
    // Two people may think of one number at once; the rest was looked up.
    { constraints: { ...custodyConstraints, key_copy_tenant_id_number_key: { code: 'changed-meanwhile' } } },
  );
}

async function wrongCopies(tx: TenantTransaction, command: MakeKeyCopies, at: Date): Promise<WrongField[]> {
  const code = await selectKeyCode(tx, command.keyCodeId);
  if (code === null) return [{ path: ['keyCodeId'], code: 'unknown', message: 'There is no key code with this id.' }];
  if (command.duplicatedFromId === undefined) return [];
  const [original] = await lockCopies(tx, [command.duplicatedFromId]);
  if (original === undefined) return [{ path: ['duplicatedFromId'], code: 'unknown', message: 'There is no copy with this id.' }];
  if (original.key_code_id !== code.id) return [{ path: ['duplicatedFromId'], code: 'other-code', message: `${original.number} is no key of ${code.code}.` }];
  const timeline = timelineOf((await selectFacts(tx, [original.id])).get(original.id) ?? []);
  const where = timeline.ok ? heldAt(timeline.intervals, at.getTime()) : null;
  return where?.state === 'held' ? [] : [{ path: ['duplicatedFromId'], code: 'not-at-hand', message: `${original.number} was not at hand at that time: nothing can have been cut from it.` }];
}
