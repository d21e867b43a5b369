import type { CreateCustodyLink, CustodyConfirmation, CustodyLink, CustodySecret } from '#contracts/custody-acknowledgement';
import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { hashSecret, newSecret } from '../identity/secret';
import type { Visitor } from '../identity/visitor';
import { perform } from '../perform';
import { isErasedPerson } from '../person/person.sql';
import { taken } from '../refusal';
import { confirm, confirmConstraints, openSide, speakerOf } from './confirm';
import { insertDenial, insertLink, selectConfirmation, selectLink, type LinkRow } from './confirm.sql';

/** Long enough for somebody off duty; short enough that an old mail confirms nothing. */
const LINK_HOURS = 7 * 24;

/** Makes a one-use link by which somebody confirms without an account; whoever makes it hands it over. */
export async function createCustodyLink(deps: Backoffice, caller: Caller, command: { readonly eventId: string } & CreateCustodyLink): Promise<Outcome<CustodyLink>> {
  const { eventId, side } = command;
  return perform<CustodyLink>(
    deps,
    caller,
    'custody-link.create',
    async ({ tx, now }) => {
      const open = await openSide(tx, { eventId, side });
      if (!open.ok) return open;
      const speaker = await speakerOf(tx, open.value, command.personId);
      if (!speaker.ok) return speaker;
      const id = command.id ?? deps.newId();
      const until = new Date(now.getTime() + LINK_HOURS * 60 * 60 * 1000);
      const secret = newSecret(`${tx.tenantId.replaceAll('-', '')}.`);
      await insertLink(tx, { id, eventId, side, personId: speaker.value, secretHash: secret.hash, now, until });
      // Behind the #, which browsers send to no server and so into no log.
      return done({ id, side, personId: speaker.value, address: `${deps.publicUrl}/key-receipt#${secret.text}`, expiresAt: formatInstant(until) });
    },
    { constraints: { custody_link_pkey: taken(['id'], 'a link with this id') }, withoutSecrets: (link) => ({ ...link, address: null }) },
  );
}

/** What is confirmed or denied by a link, told to whoever holds it. */
export async function lookAtCustodyLink(deps: Backoffice, visitor: Visitor, command: CustodySecret): Promise<Outcome<CustodyConfirmation>> {
  return byLink(deps, visitor, command, ({ tx, link }) => confirmationOf(tx, link));
}

/** Confirms by a link, once. */
export async function confirmByCustodyLink(deps: Backoffice, visitor: Visitor, command: CustodySecret): Promise<Outcome<CustodyConfirmation>> {
  return byLink(deps, visitor, command, async ({ tx, link, now }) => {
    const open = await openSide(tx, { eventId: link.event_id, side: link.side });
    if (!open.ok) return open;
    await confirm(tx, { event: open.value.event, side: link.side, personId: link.person_id, how: 'link', now });
    return confirmationOf(tx, { ...link, confirmed_at: now });
  });
}

/** Says by a link that one did not give or receive what the books say: the same record as whoever signs in makes, marked as come by a link. Said again it is the same, and confirmed it can be all the same. */
export async function denyByCustodyLink(deps: Backoffice, visitor: Visitor, command: CustodySecret): Promise<Outcome<CustodyConfirmation>> {
  return byLink(deps, visitor, command, async ({ tx, secretHash, link, now }) => {
    const open = await openSide(tx, { eventId: link.event_id, side: link.side });
    if (!open.ok) return open;
    await insertDenial(tx, { event: open.value.event, side: link.side, personId: link.person_id, how: 'link', now });
    return confirmationOf(tx, (await selectLink(tx, { secretHash, now })) ?? link);
  });
}

/**
 * The secret names the operator, so that it is looked up among that operator's links alone, as any visitor may; without
 * one that fits, nothing is said.
 */
async function byLink(
  deps: Backoffice,
  visitor: Visitor,
  { secret }: CustodySecret,
  work: (unit: { tx: TenantTransaction; now: Date; secretHash: Uint8Array; link: LinkRow }) => Promise<Outcome<CustodyConfirmation>>,
): Promise<Outcome<CustodyConfirmation>> {
  const parts = /^([0-9a-f]{8})([0-9a-f]{4})([0-9a-f]{4})([0-9a-f]{4})([0-9a-f]{12})\.[A-Za-z0-9_-]{43}$/.exec(secret);
  if (parts === null) return refused('link-unusable');
  const caller: Caller = { kind: 'system', id: 'custody-link', tenantId: parts.slice(1).join('-'), requestId: visitor.requestId };
  return perform(
    deps,
    caller,
    'custody.acknowledge',
    async ({ tx, now }) => {
      const secretHash = hashSecret(secret);
      const link = await selectLink(tx, { secretHash, now });
      // With who somebody was, the links go that they were given.
      if (link === null || (await isErasedPerson(tx, link.person_id))) return refused('link-unusable');
      return work({ tx, now, secretHash, link });
    },
    { constraints: confirmConstraints },
  );
}

async function confirmationOf(tx: TenantTransaction, link: LinkRow): Promise<Outcome<CustodyConfirmation>> {
  const row = await selectConfirmation(tx, { eventId: link.event_id, personId: link.person_id });
  if (row === null) throw new Error('a link to an event that is gone');
  return done({
    operatorName: row.operator_name,
    personName: row.person_name,
    side: link.side,
    says: row.says,
    happenedAt: formatInstant(row.happened_at),
    dueBackAt: row.due_back_at && formatInstant(row.due_back_at),
    fromName: row.from_name,
    toName: row.to_name,
    copies: row.copies,
    confirmedAt: link.confirmed_at && formatInstant(link.confirmed_at),
    deniedAt: link.denied_at && formatInstant(link.denied_at),
    deniedHow: link.denied_how,
  });
}
