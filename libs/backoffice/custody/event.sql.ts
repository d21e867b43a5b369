import type { TenantTransaction } from '#database/tenant';
import type { CustodyKind, Holder } from '#domain/keys/custody';
import type { LocalDate } from '#domain/calendar/local-date';
import { keepers, keptAt } from '../key-question/keepers.sql';
import { holderValues } from './timeline.sql';

/** An event as it is written. */
export type EventRecord = {
  readonly id: string;
  readonly kind: CustodyKind | 'corrected';
  readonly says: CustodyKind | null;
  readonly happenedAt: Date;
  readonly recordedAt: Date;
  readonly reason: string;
  /** Hashed before the reason, for the digest in the evidence log. Older events have none; it goes when a name is erased. */
  readonly reasonSalt: Buffer | null;
  readonly from: Holder | null;
  readonly to: Holder | null;
  readonly keyRingId: string | null;
  readonly dueBackAt: Date | null;
  readonly acknowledgeBy: Date | null;
  readonly correctsId: string | null;
  readonly withoutSecondPerson: boolean;
};

export type WrittenCopy = { key_copy_id: string; exception_id: string | null; breach_due_at: Date | null };

/** Writes an event and its copies; gives back what the database says of each: under which exception, or as what breach. */
export async function insertEvent(tx: TenantTransaction, event: EventRecord, copyIds: readonly string[]): Promise<WrittenCopy[]> {
  await tx.sql(
    `INSERT INTO custody_event (tenant_id, id, kind, says, happened_at, recorded_at, recorded_by, reason, key_ring_id, due_back_at, acknowledge_by, corrects_id, without_second_person,
                                from_person_id, from_store_id, from_place_id, to_person_id, to_store_id, to_place_id, reason_salt)
     VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20)`,
    [
      tx.tenantId, event.id, event.kind, event.says, event.happenedAt, event.recordedAt, tx.actor, event.reason, event.keyRingId, event.dueBackAt,
      event.acknowledgeBy, event.correctsId, event.withoutSecondPerson, ...holderValues(event.from), ...holderValues(event.to), event.reasonSalt,
    ],
  );
  const { rows } = await tx.sql<WrittenCopy>(
    `INSERT INTO custody_event_copy (tenant_id, event_id, key_copy_id) SELECT $1, $2, id FROM unnest($3::uuid[]) AS copy (id)
     RETURNING key_copy_id, exception_id, breach_due_at`,
    [tx.tenantId, event.id, copyIds],
  );
  return rows;
}

/** Copies that hang on a ring at a moment. The ring is kept as it is until the event is in the books. */
export async function shareRing(tx: TenantTransaction, ring: { id: string; at: Date }): Promise<string[] | null> {
  const { rowCount } = await tx.sql('SELECT FROM key_ring WHERE tenant_id = $1 AND id = $2 FOR SHARE', [tx.tenantId, ring.id]);
  if (rowCount === 0) return null;
  const { rows } = await tx.sql<{ key_copy_id: string }>(
    `SELECT key_copy_id FROM key_ring_copy
      WHERE tenant_id = $1 AND key_ring_id = $2 AND started_at <= $3 AND (ended_at IS NULL OR ended_at > $3)`,
    [tx.tenantId, ring.id, ring.at],
  );
  return rows.map((row) => row.key_copy_id);
}

export type CorrectedRow = { id: string; happened_at: Date; recorded_by: string; copy_ids: string[]; corrected_ids: string[] };

/** An event that is to be corrected: its copies, and those of them for which it was corrected before. */
export async function selectCorrected(tx: TenantTransaction, id: string): Promise<CorrectedRow | null> {
  const { rows } = await tx.sql<CorrectedRow>(
    `SELECT e.id, e.happened_at, e.recorded_by,
            array(SELECT c.key_copy_id FROM custody_event_copy c WHERE c.tenant_id = $1 AND c.event_id = e.id) AS copy_ids,
            array(SELECT c.key_copy_id FROM custody_event_copy c WHERE c.tenant_id = $1 AND c.corrects_id = e.id) AS corrected_ids
       FROM custody_event e WHERE e.tenant_id = $1 AND e.id = $2`,
    [tx.tenantId, id],
  );
  return rows[0] ?? null;
}

export type PartyRow = { kind: Holder['kind']; id: string; code: string; name: string; site_id: string | null; started_on: LocalDate | null; left_on: LocalDate | null };

/** Holders by id. A holder that nobody knows is left out. */
export async function selectParties(tx: TenantTransaction, holders: readonly Holder[]): Promise<PartyRow[]> {
  const ids = (kind: Holder['kind']): string[] => holders.filter((holder) => holder.kind === kind).map(({ id }) => id);
  const { rows } = await tx.sql<PartyRow>(
    `SELECT 'person' AS kind, id, code, name, site_id, started_on, left_on FROM person WHERE tenant_id = $1 AND id = ANY ($2::uuid[])
      UNION ALL SELECT 'store', id, code, name, NULL, NULL, NULL FROM key_store WHERE tenant_id = $1 AND id = ANY ($3::uuid[])
      UNION ALL SELECT 'place', id, code, name, site_id, NULL, NULL FROM key_place WHERE tenant_id = $1 AND id = ANY ($4::uuid[])`,
    [tx.tenantId, ids('person'), ids('store'), ids('place')],
  );
  return rows;
}

/** Whether an exception of the owner lets cash-box keys go to a site or to somebody of it, at a moment. */
export async function hasException(tx: TenantTransaction, query: { siteId: string; personId: string | null; at: Date }): Promise<boolean> {
  const { rowCount } = await tx.sql(
    `SELECT FROM key_exception WHERE tenant_id = $1 AND (site_id = $2 OR person_id = $3) AND started_at <= $4 AND (ended_at IS NULL OR ended_at > $4) LIMIT 1`,
    [tx.tenantId, query.siteId, query.personId, query.at],
  );
  return rowCount > 0;
}

/**
 * Who may speak for a side of an event: a person for themselves, the custodian for a store, whoever answers for a place or
 * may use it then for the place.
 */
export async function selectSpeakers(tx: TenantTransaction, query: { holder: Holder; at: Date }): Promise<string[]> {
  const { holder, at } = query;
  if (holder.kind === 'person') return [holder.id];
  const { rows } = await tx.sql<{ person_id: string }>(`SELECT DISTINCT k.person_id FROM ${keepers} k WHERE k.holder_id = $2 AND ${keptAt('k', '$3')}`, [tx.tenantId, holder.id, at]);
  return rows.map((row) => row.person_id);
}

export async function insertAcknowledgement(
  tx: TenantTransaction,
  said: { eventId: string; side: 'giver' | 'receiver'; personId: string; how: 'recorded' | 'signed-in' | 'link' | 'signed'; at: Date },
): Promise<void> {
  await tx.sql('INSERT INTO custody_acknowledgement (tenant_id, event_id, side, person_id, how, acknowledged_at) VALUES ($1, $2, $3, $4, $5, $6)', [
    tx.tenantId, said.eventId, said.side, said.personId, said.how, said.at,
  ]);
}
