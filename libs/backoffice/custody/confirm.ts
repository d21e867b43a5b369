import { randomBytes } from 'node:crypto';
import type { CustodySide } from '#contracts/custody';
import { done, refused, refusedFields, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { isAcknowledged } from '#domain/keys/event-sides';
import { lockLog } from '../evidence/append';
import type { PerformOptions } from '../perform';
import { isErasedPerson } from '../person/person.sql';
import { selectConfirmed, selectConfirmedSides, type ConfirmedEvent } from './confirm.sql';
import { insertAcknowledgement, selectSpeakers } from './event.sql';
import { acknowledgementEntry } from './leaf';

/** Two who confirm one side at once learn of each other from the database. */
export const confirmConstraints: NonNullable<PerformOptions<unknown>['constraints']> = { custody_acknowledgement_pkey: { code: 'confirmed-already' } };

/** One side of an event that is still to be confirmed, and everybody who may speak for it. */
export type OpenSide = { readonly event: ConfirmedEvent; readonly speakers: readonly string[] };

/** The side of an event if it is to be confirmed at all and nobody has. */
export async function openSide(tx: TenantTransaction, of: { eventId: string; side: CustodySide }): Promise<Outcome<OpenSide>> {
  const event = await selectConfirmed(tx, of.eventId);
  if (event === null) return refused('not-found');
  const holder = of.side === 'giver' ? event.from : event.to;
  if (!isAcknowledged(event.says) || holder === null) return refused('wrong-state', { detail: 'Nobody gives and receives in an event of this kind, so nobody confirms it.' });
  if (!event.standing) return refused('wrong-state', { detail: 'A correction took the place of this event: confirm that one.' });
  if ((await selectConfirmedSides(tx, event.id)).includes(of.side)) return refused('confirmed-already');
  return done({ event, speakers: await selectSpeakers(tx, { holder, at: event.happenedAt }) });
}

/**
 * Who is to speak for the side: the one named, or the only one who can. Nobody whose data is erased: a signature taken afterwards
 * would never be erased.
 */
export async function speakerOf(tx: TenantTransaction, { speakers }: OpenSide, personId: string | undefined): Promise<Outcome<string>> {
  const chosen = personId ?? (speakers.length === 1 ? speakers[0] : undefined);
  if (chosen === undefined) return refusedFields('invalid-command', [{ path: ['personId'], code: 'missing', message: 'Several people, or nobody, answer for this side: name the one who confirms.' }]);
  if (!speakers.includes(chosen)) {
    return refusedFields('invalid-command', [{ path: ['personId'], code: 'not-of-this-side', message: 'This person neither gave nor received, and does not answer for the store or place.' }]);
  }
  if (await isErasedPerson(tx, chosen)) return refused('wrong-state', { detail: 'Who this person was is erased: they confirm nothing any more.' });
  return done(chosen);
}

/** Writes that one side confirmed, with its leaf in the evidence log: the last thing in a transaction. */
export async function confirm(
  tx: TenantTransaction,
  said: { event: ConfirmedEvent; side: CustodySide; personId: string; how: 'signed-in' | 'link' | 'signed'; now: Date; signatureDigest?: Uint8Array; afterwards?: () => Promise<void> },
): Promise<void> {
  const { event, side, personId, how } = said;
  // What is confirmed was in the books before, whatever the clock says meanwhile.
  const at = new Date(Math.max(said.now.getTime(), event.recordedAt.getTime()));
  await insertAcknowledgement(tx, { eventId: event.id, side, personId, how, at });
  await said.afterwards?.();
  const log = await lockLog(tx, { now: () => said.now, randomBytes });
  await log.append([{ subjectId: event.id, entry: acknowledgementEntry({ eventId: event.id, side, personId, how, at, signatureDigest: said.signatureDigest ?? null }) }]);
}
