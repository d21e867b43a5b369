import { createHash, randomBytes } from 'node:crypto';
import type { AcknowledgeCustody, SignCustody } from '#contracts/custody-acknowledgement';
import type { CustodyEvent } from '#contracts/custody';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import { canonicalJson } from '#domain/evidence/canonical-json';
import { SALT_BYTES } from '#domain/evidence/leaf';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { selectMembers } from '../identity/member.sql';
import { perform } from '../perform';
import { selectPerson } from '../person/person.sql';
import { confirm, confirmConstraints, openSide, speakerOf } from './confirm';
import { insertSignature } from './confirm.sql';
import { selectSpeakers } from './event.sql';
import { readEvent } from './read';
import { eventFor } from './without-other-sites';

/** Confirms, as who is signed in, that one gave or received. */
export async function acknowledgeCustody(deps: Backoffice, caller: Caller, command: { readonly id: string } & AcknowledgeCustody): Promise<Outcome<CustodyEvent>> {
  const { id, side } = command;
  return perform(
    deps,
    caller,
    'custody.acknowledge',
    async ({ tx, now }) => {
      const open = await openSide(tx, { eventId: id, side });
      if (!open.ok) return open;
      const personId = caller.kind === 'user' ? caller.personId : null;
      if (personId === null) return refused('wrong-person', { detail: 'Your account is bound to no person: an owner can say whose it is.' });
      if (!open.value.speakers.includes(personId)) return refused('wrong-person', { detail: `You are not the ${side} of this key.` });
      await confirm(tx, { event: open.value.event, side, personId, how: 'signed-in', now });
      return done(eventFor(caller, { event: await readEvent(tx, id), side }));
    },
    { constraints: confirmConstraints },
  );
}

/**
 * Takes the receipt of somebody of a site who has no account: the name as they write it and a signature, drawn or typed.
 * The evidence log keeps their digest under a salt, so that both can be erased.
 */
export async function signCustody(deps: Backoffice, caller: Caller, command: { readonly id: string } & SignCustody): Promise<Outcome<CustodyEvent>> {
  const { id, side, name } = command;
  return perform(
    deps,
    caller,
    'custody.sign',
    async ({ tx, now }) => {
      const open = await openSide(tx, { eventId: id, side });
      if (!open.ok) return open;
      const { event } = open.value;
      const other = side === 'giver' ? event.to : event.from;
      // A collector or somebody of a site holds out the device to whom they give a key, or from whom they take one; to nobody else.
      if (caller.kind !== 'system' && (caller.role === 'collector' || caller.role === 'site-manager')) {
        const personId = caller.kind === 'user' ? caller.personId : null;
        const isOther = personId !== null && other !== null && (await selectSpeakers(tx, { holder: other, at: event.happenedAt })).includes(personId);
        if (!isOther) return refused('wrong-person', { detail: 'You take receipts for keys that you give or take yourself.' });
      }
      const speaker = await speakerOf(tx, open.value, command.personId);
      if (!speaker.ok) return speaker;
      const person = await selectPerson(tx, speaker.value);
      if (person?.employed_by !== 'site') return refusedFields('invalid-command', [{ path: ['personId'], code: 'of-the-operator', message: 'The operator’s own people confirm signed in, or by a link.' }]);
      if ((await selectMembers(tx)).some(({ person_id }) => person_id === speaker.value)) {
        return refusedFields('invalid-command', [{ path: ['personId'], code: 'has-account', message: 'This person has an account, and confirms signed in.' }]);
      }
      const signature = canonicalJson(command.signature);
      const salt = randomBytes(SALT_BYTES);
      const digest = createHash('sha256').update(salt).update(canonicalJson({ name, signature: command.signature }), 'utf8').digest();
      await confirm(tx, {
        event,
        side,
        personId: speaker.value,
        how: 'signed',
        now,
        signatureDigest: digest,
        afterwards: () => insertSignature(tx, { eventId: id, side, name, signature, salt, digest }),
      });
      return done(eventFor(caller, { event: await readEvent(tx, id), side }));
    },
    { constraints: confirmConstraints },
  );
}
