import type { CustodyEvent, RecordCustody } from '#contracts/custody';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import { heldAt, timelineOf } from '#domain/keys/custody';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import type { NewCustodyEvent, Recording } from './new-event';
import { readEvent } from './read';
import { custodyConstraints, recordEvents } from './record-events';
import { selectFacts } from './timeline.sql';

/**
 * Records what happened to copies of keys. Owner and custodian record anything; a collector what they give or take
 * themselves, or miss.
 */
export async function recordCustody(deps: Backoffice, caller: Caller, command: RecordCustody): Promise<Outcome<CustodyEvent>> {
  return perform(
    deps,
    caller,
    'custody-event.record',
    async ({ tx, now }) => {
      const recording: Recording = { tx, now, caller, newId: deps.newId };
      const event: NewCustodyEvent = { ...command, happenedAt: instant(command.happenedAt), dueBackAt: instant(command.dueBackAt ?? undefined) };
      if (!(await isTheirs(recording, event))) {
        return refusedFields('invalid-command', [{ path: ['kind'], code: 'not-your-own', message: 'You record what you give, take or miss yourself; the custodian records the rest.' }]);
      }
      const recorded = await recordEvents(recording, [event]);
      if (!recorded.ok) return recorded;
      return done(await readEvent(tx, recorded.value[0] ?? ''));
    },
    { constraints: custodyConstraints },
  );
}

async function isTheirs({ tx, caller, now }: Recording, event: NewCustodyEvent): Promise<boolean> {
  if (caller.kind === 'system' || caller.role !== 'collector') return true;
  const personId = caller.kind === 'user' ? caller.personId : null;
  if (personId === null) return false;
  if (event.kind === 'reported-missing') {
    const facts = await selectFacts(tx, event.keyCopyIds ?? []);
    return [...facts.values()].every((ofCopy) => {
      const timeline = timelineOf(ofCopy);
      const where = timeline.ok ? heldAt(timeline.intervals, (event.happenedAt ?? now).getTime()) : null;
      return where?.state === 'held' && where.holder.kind === 'person' && where.holder.id === personId;
    });
  }
  const moves = event.kind === 'issued' || event.kind === 'returned' || event.kind === 'handed-over';
  return moves && [event.from, event.to].some((side) => side?.kind === 'person' && side.id === personId);
}

function instant(text: string | undefined): Date | undefined {
  return text === undefined ? undefined : new Date(text);
}
