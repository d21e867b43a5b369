import { createHash } from 'node:crypto';
import { formatInstant } from '#contracts/format';
import type { CustodyAcknowledged, CustodyRecorded } from '#domain/evidence/leaf';
import type { EventRecord, WrittenCopy } from './event.sql';

/** Reasons name people. The salt stays outside the log, and goes with the name: nobody can guess at the text any more. */
function reasonDigest({ reason, reasonSalt }: Pick<EventRecord, 'reason' | 'reasonSalt'>): string {
  return createHash('sha256').update(reasonSalt ?? Buffer.alloc(0)).update(reason, 'utf8').digest('hex');
}

/**
 * What the evidence log keeps of an event: made when it is recorded, and again when the log is compared with the books. Of a
 * reason out of which a name was taken since, the digest of what it was is given.
 */
export function custodyEntry(event: EventRecord & { readonly recordedBy: string }, copies: readonly WrittenCopy[], digestBeforeErasing?: string): CustodyRecorded {
  const instant = (at: Date | null): string | null => at && formatInstant(at);
  return {
    format: 1,
    kind: 'custody-recorded',
    eventId: event.id,
    eventKind: event.kind,
    says: event.says,
    happenedAt: formatInstant(event.happenedAt),
    recordedAt: formatInstant(event.recordedAt),
    recordedBy: event.recordedBy,
    reasonDigest: digestBeforeErasing ?? reasonDigest(event),
    from: event.from && { kind: event.from.kind, id: event.from.id },
    to: event.to && { kind: event.to.kind, id: event.to.id },
    keyRingId: event.keyRingId,
    dueBackAt: instant(event.dueBackAt),
    acknowledgeBy: instant(event.acknowledgeBy),
    correctsId: event.correctsId,
    withoutSecondPerson: event.withoutSecondPerson,
    copies: copies
      .map((copy) => ({ keyCopyId: copy.key_copy_id, exceptionId: copy.exception_id, breachDueAt: instant(copy.breach_due_at) }))
      .sort((left, right) => (left.keyCopyId < right.keyCopyId ? -1 : 1)),
  };
}

export function acknowledgementEntry(said: {
  readonly eventId: string;
  readonly side: 'giver' | 'receiver';
  readonly personId: string;
  readonly how: string;
  readonly at: Date;
  readonly signatureDigest: Uint8Array | null;
}): CustodyAcknowledged {
  return {
    format: 1,
    kind: 'custody-acknowledged',
    eventId: said.eventId,
    side: said.side,
    personId: said.personId,
    how: said.how,
    acknowledgedAt: formatInstant(said.at),
    signatureDigest: said.signatureDigest === null ? null : Buffer.from(said.signatureDigest).toString('hex'),
  };
}
