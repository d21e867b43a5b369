import type { CustodyEvent, DenialHow, KeyCopy } from '#contracts/custody';
import type { TenantTransaction } from '#database/tenant';
import type { CustodyKind } from '#domain/keys/custody';
import { sideJoins, sideNames, type HolderNames } from '../key-question/holder-names.sql';
import { holderColumns, holderJoins, type HolderRow } from '../key-question/whereabouts.sql';

export type EventRow = HolderNames<'from'> &
  HolderNames<'to'> & {
    id: string;
    kind: CustodyKind | 'corrected';
    says: CustodyKind | null;
    happened_at: Date;
    recorded_at: Date;
    recorded_by: string;
    reason: string;
    key_ring_id: string | null;
    key_ring_code: string | null;
    due_back_at: Date | null;
    acknowledge_by: Date | null;
    corrects_id: string | null;
    without_second_person: boolean;
  };

const events = `
  SELECT e.id, e.kind, e.says, e.happened_at, e.recorded_at, e.recorded_by, e.reason, e.key_ring_id, ring.code AS key_ring_code, e.due_back_at, e.acknowledge_by,
         e.corrects_id, e.without_second_person, ${sideNames}
    FROM custody_event e ${sideJoins}
    LEFT JOIN key_ring ring ON ring.tenant_id = $1 AND ring.id = e.key_ring_id
   WHERE e.tenant_id = $1`;

export async function selectEvents(tx: TenantTransaction, ids: readonly string[]): Promise<EventRow[]> {
  const { rows } = await tx.sql<EventRow>(`${events} AND e.id = ANY ($2::uuid[]) ORDER BY e.recorded_at, e.id`, [tx.tenantId, ids]);
  return rows;
}

export async function selectEventsOfCopy(tx: TenantTransaction, copyId: string): Promise<EventRow[]> {
  const { rows } = await tx.sql<EventRow>(
    `${events} AND e.id IN (SELECT c.event_id FROM custody_event_copy c WHERE c.tenant_id = $1 AND c.key_copy_id = $2) ORDER BY e.recorded_at, e.id`,
    [tx.tenantId, copyId],
  );
  return rows;
}

export type EventList = {
  readonly after: readonly [recordedAt: string, id: string] | null;
  readonly limit: number;
  readonly keyCopyId: string | null;
  readonly keyCodeId: string | null;
  readonly personId: string | null;
  readonly kind: string | null;
  readonly from: string | null;
  readonly before: string | null;
};

/** Events that the books learned of last, first. */
export async function listEventRows(tx: TenantTransaction, list: EventList): Promise<EventRow[]> {
  const [recordedAt, id] = list.after ?? [null, null];
  const { rows } = await tx.sql<EventRow>(
    `${events}
        AND ($2::timestamptz IS NULL OR (e.recorded_at, e.id) < ($2, $3::uuid))
        AND ($4::uuid IS NULL OR EXISTS (SELECT FROM custody_event_copy c WHERE c.tenant_id = $1 AND c.event_id = e.id AND c.key_copy_id = $4))
        AND ($5::uuid IS NULL OR EXISTS (SELECT FROM custody_event_copy c JOIN key_copy k ON k.tenant_id = $1 AND k.id = c.key_copy_id
                                          WHERE c.tenant_id = $1 AND c.event_id = e.id AND k.key_code_id = $5))
        AND ($6::uuid IS NULL OR e.from_person_id = $6 OR e.to_person_id = $6)
        AND ($7::text IS NULL OR e.kind = $7)
        AND ($8::timestamptz IS NULL OR e.recorded_at >= $8) AND ($9::timestamptz IS NULL OR e.recorded_at < $9)
      ORDER BY e.recorded_at DESC, e.id DESC LIMIT $10`,
    [tx.tenantId, recordedAt, id, list.keyCopyId, list.keyCodeId, list.personId, list.kind, list.from, list.before, list.limit + 1],
  );
  return rows;
}

export type EventCopyRow = { event_id: string; key_copy_id: string; number: string; key_code_id: string; code: string; class: KeyCopy['class']; exception_id: string | null; breach_due_at: Date | null; corrected_by_id: string | null };

export async function selectEventCopies(tx: TenantTransaction, eventIds: readonly string[]): Promise<EventCopyRow[]> {
  const { rows } = await tx.sql<EventCopyRow>(
    `SELECT c.event_id, c.key_copy_id, k.number, k.key_code_id, code.code, k.class, c.exception_id, c.breach_due_at, newer.event_id AS corrected_by_id
       FROM custody_event_copy c
       JOIN key_copy k ON k.tenant_id = $1 AND k.id = c.key_copy_id
       JOIN key_code code ON code.tenant_id = $1 AND code.id = k.key_code_id
       LEFT JOIN custody_event_copy newer ON newer.tenant_id = $1 AND newer.corrects_id = c.event_id AND newer.key_copy_id = c.key_copy_id
      WHERE c.tenant_id = $1 AND c.event_id = ANY ($2::uuid[]) ORDER BY k.number`,
    [tx.tenantId, eventIds],
  );
  return rows;
}

export type AcknowledgementRow = { event_id: string; side: 'giver' | 'receiver'; person_id: string; code: string; name: string; how: CustodyEvent['acknowledgements'][number]['how']; acknowledged_at: Date };

export async function selectAcknowledgements(tx: TenantTransaction, eventIds: readonly string[]): Promise<AcknowledgementRow[]> {
  const { rows } = await tx.sql<AcknowledgementRow>(
    `SELECT a.event_id, a.side, a.person_id, p.code, p.name, a.how, a.acknowledged_at
       FROM custody_acknowledgement a JOIN person p ON p.tenant_id = $1 AND p.id = a.person_id
      WHERE a.tenant_id = $1 AND a.event_id = ANY ($2::uuid[]) ORDER BY a.side`,
    [tx.tenantId, eventIds],
  );
  return rows;
}

export type DenialRow = { event_id: string; side: 'giver' | 'receiver'; person_id: string; code: string; name: string; how: DenialHow; denied_at: Date };

export async function selectDenials(tx: TenantTransaction, eventIds: readonly string[]): Promise<DenialRow[]> {
  const { rows } = await tx.sql<DenialRow>(
    `SELECT d.event_id, d.side, d.person_id, p.code, p.name, d.how, d.denied_at
       FROM custody_denial d JOIN person p ON p.tenant_id = $1 AND p.id = d.person_id
      WHERE d.tenant_id = $1 AND d.event_id = ANY ($2::uuid[]) ORDER BY d.side`,
    [tx.tenantId, eventIds],
  );
  return rows;
}

export type KeyCopyRow = Omit<HolderRow, 'since'> & { id: string; number: string; key_code_id: string; code: string; class: KeyCopy['class']; duplicated_from_id: string | null; since: Date | null };

/** Copies by number with where they are: what the books know last of the last that happened, whatever the clock says meanwhile. */
export async function selectKeyCopies(
  tx: TenantTransaction,
  list: { after: string | null; limit: number | null; keyCodeId: string | null; state: string | null; ids: readonly string[] | null },
): Promise<KeyCopyRow[]> {
  const { rows } = await tx.sql<KeyCopyRow>(
    `SELECT copy.id, copy.number, copy.key_code_id, code.code, copy.class, copy.duplicated_from_id, ${holderColumns('held')}
       FROM key_copy copy
       JOIN key_code code ON code.tenant_id = $1 AND code.id = copy.key_code_id
       LEFT JOIN custody held ON held.tenant_id = $1 AND held.key_copy_id = copy.id AND held.held_to IS NULL AND held.known_to IS NULL
       ${holderJoins('held')}
      WHERE copy.tenant_id = $1 AND ($2::text IS NULL OR copy.number > $2) AND ($3::uuid IS NULL OR copy.key_code_id = $3)
        AND ($4::text IS NULL OR held.state = $4) AND ($5::uuid[] IS NULL OR copy.id = ANY ($5))
      ORDER BY copy.number LIMIT $6`,
    [tx.tenantId, list.after, list.keyCodeId, list.state, list.ids, list.limit],
  );
  return rows;
}
