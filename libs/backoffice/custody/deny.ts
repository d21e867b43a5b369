import type { AcknowledgeCustody } from '#contracts/custody-acknowledgement';
import type { CustodyEvent } from '#contracts/custody';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { openSide } from './confirm';
import { insertDenial } from './confirm.sql';
import { readEvent } from './read';
import { eventFor } from './without-other-sites';

/**
 * Says, as who is signed in, that one did not give or receive what the books say. It stands beside the event and changes nothing else: the key is where the books
 * have it until whoever looks after the keys has corrected the event. Said again it is the same; who finds the key after all confirms it.
 */
export async function denyCustody(deps: Backoffice, caller: Caller, command: { readonly id: string } & AcknowledgeCustody): Promise<Outcome<CustodyEvent>> {
  const { id, side } = command;
  return perform(deps, caller, 'custody.acknowledge', async ({ tx, now }) => {
    const open = await openSide(tx, { eventId: id, side });
    if (!open.ok) return open;
    const personId = caller.kind === 'user' ? caller.personId : null;
    if (personId === null) return refused('wrong-person', { detail: 'Your account is bound to no person: an owner can say whose it is.' });
    if (!open.value.speakers.includes(personId)) return refused('wrong-person', { detail: `You are not the ${side} of this key.` });
    await insertDenial(tx, { event: open.value.event, side, personId, how: 'signed-in', now });
    return done(eventFor(caller, { event: await readEvent(tx, id), side }));
  });
}
