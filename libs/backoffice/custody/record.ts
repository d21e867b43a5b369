import type { CustodyEvent, RecordCustody } from '#contracts/custody';
import { done, refusedFields, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import type { NewCustodyEvent, Recording } from './new-event';
import { wrongForRole } from './own-event';
import { readEvent } from './read';
import { custodyConstraints, recordEvents } from './record-events';

/**
 * Records what happened to copies of keys. Owner and custodian record anything; a collector what they give or take
 * themselves, or miss; a site manager what of the access keys at their site is handed on there, or missing.
 */
export async function recordCustody(deps: Backoffice, caller: Caller, command: RecordCustody): Promise<Outcome<CustodyEvent>> {
  return perform(
    deps,
    caller,
    'custody-event.record',
    async ({ tx, now, visibleSites }) => {
      const recording: Recording = { tx, now, caller, newId: deps.newId };
      const event: NewCustodyEvent = { ...command, happenedAt: instant(command.happenedAt), dueBackAt: instant(command.dueBackAt ?? undefined) };
      const wrong = await wrongForRole(recording, event, visibleSites());
      if (wrong.length > 0) return refusedFields('invalid-command', wrong);
      const recorded = await recordEvents(recording, [event]);
      if (!recorded.ok) return recorded;
      return done(await readEvent(tx, recorded.value[0] ?? ''));
    },
    { constraints: custodyConstraints },
  );
}

function instant(text: string | undefined): Date | undefined {
  return text === undefined ? undefined : new Date(text);
}
