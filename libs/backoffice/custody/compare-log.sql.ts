import type { TenantTransaction } from '#database/tenant';
import type { CustodyInterval, CustodyKind, Whereabouts } from '#domain/keys/custody';
import type { EventRecord, WrittenCopy } from './event.sql';
import { holderOf, type HolderColumns } from './timeline.sql';

const PAGE_SIZE = 1000;

/** Leaves of one kind below a size, in order, by pages. */
export async function* streamLeavesOfKind(tx: TenantTransaction, query: { kind: string; below: bigint }): AsyncGenerator<LeafOfKind[]> {
  for (let next = 0n; ; ) {
    const { rows } = await tx.sql<LeafOfKind>(
      `SELECT leaf_index, subject_id, entry FROM evidence_leaf
        WHERE tenant_id = $1 AND leaf_index >= $2 AND leaf_index < $3 AND kind = $4 ORDER BY leaf_index LIMIT $5`,
      [tx.tenantId, next, query.below, query.kind, PAGE_SIZE],
    );
    if (rows.length > 0) yield rows;
    const last = rows.at(-1);
    if (last === undefined || rows.length < PAGE_SIZE) return;
    next = last.leaf_index + 1n;
  }
}
export type LeafOfKind = { leaf_index: bigint; subject_id: string; entry: Buffer };

export type StoredEvent = { readonly event: EventRecord & { readonly recordedBy: string }; readonly copies: readonly WrittenCopy[]; readonly reasonErased: boolean };

/** Events as they stand in the tables now, by id. */
export async function selectStoredEvents(tx: TenantTransaction, ids: readonly string[]): Promise<Map<string, StoredEvent>> {
  type Row = { [column in `${'from' | 'to'}_${'person' | 'store' | 'place'}_id`]: string | null } & {
    id: string; kind: CustodyKind | 'corrected'; says: CustodyKind | null; happened_at: Date; recorded_at: Date; recorded_by: string; reason: string; reason_salt: Buffer | null; reason_erased: boolean;
    key_ring_id: string | null; due_back_at: Date | null; acknowledge_by: Date | null; corrects_id: string | null; without_second_person: boolean;
  };
  const { rows } = await tx.sql<Row>(
    `SELECT id, kind, says, happened_at, recorded_at, recorded_by, reason, reason_salt, reason_erased_at IS NOT NULL AS reason_erased, key_ring_id, due_back_at, acknowledge_by, corrects_id,
            without_second_person, from_person_id, from_store_id, from_place_id, to_person_id, to_store_id, to_place_id
       FROM custody_event WHERE tenant_id = $1 AND id = ANY ($2::uuid[])`,
    [tx.tenantId, ids],
  );
  const copies = new Map<string, WrittenCopy[]>();
  for (const copy of (await tx.sql<WrittenCopy & { event_id: string }>('SELECT event_id, key_copy_id, exception_id, breach_due_at FROM custody_event_copy WHERE tenant_id = $1 AND event_id = ANY ($2::uuid[])', [tx.tenantId, ids])).rows) {
    const ofEvent = copies.get(copy.event_id);
    if (ofEvent === undefined) copies.set(copy.event_id, [copy]);
    else ofEvent.push(copy);
  }
  return new Map(
    rows.map((row) => [
      row.id,
      {
        copies: copies.get(row.id) ?? [],
        reasonErased: row.reason_erased,
        event: {
          id: row.id,
          kind: row.kind,
          says: row.says,
          happenedAt: row.happened_at,
          recordedAt: row.recorded_at,
          recordedBy: row.recorded_by,
          reason: row.reason,
          reasonSalt: row.reason_salt,
          from: holderOf({ person_id: row.from_person_id, store_id: row.from_store_id, place_id: row.from_place_id }),
          to: holderOf({ person_id: row.to_person_id, store_id: row.to_store_id, place_id: row.to_place_id }),
          keyRingId: row.key_ring_id,
          dueBackAt: row.due_back_at,
          acknowledgeBy: row.acknowledge_by,
          correctsId: row.corrects_id,
          withoutSecondPerson: row.without_second_person,
        },
      },
    ]),
  );
}

export type StoredAcknowledgement = { event_id: string; side: 'giver' | 'receiver'; person_id: string; how: string; acknowledged_at: Date; digest: Buffer | null };

export async function selectStoredAcknowledgements(tx: TenantTransaction, eventIds: readonly string[]): Promise<StoredAcknowledgement[]> {
  const { rows } = await tx.sql<StoredAcknowledgement>(
    `SELECT a.event_id, a.side, a.person_id, a.how, a.acknowledged_at, s.digest
       FROM custody_acknowledgement a LEFT JOIN custody_signature s ON s.tenant_id = $1 AND s.event_id = a.event_id AND s.side = a.side
      WHERE a.tenant_id = $1 AND a.event_id = ANY ($2::uuid[])`,
    [tx.tenantId, eventIds],
  );
  return rows;
}

/** The first event of the books of which the log says nothing, or not all that the books say of its confirmation. */
export async function selectWithoutLeaf(tx: TenantTransaction): Promise<string | null> {
  const leaves = (kind: string): string => `(SELECT count(*) FROM evidence_leaf l WHERE l.tenant_id = $1 AND l.subject_id = e.id AND l.kind = '${kind}')`;
  const { rows } = await tx.sql<{ id: string }>(
    `SELECT e.id FROM custody_event e
      WHERE e.tenant_id = $1
        AND (${leaves('custody-recorded')} = 0
          OR ${leaves('custody-acknowledged')} < (SELECT count(*) FROM custody_acknowledgement a WHERE a.tenant_id = $1 AND a.event_id = e.id))
      ORDER BY e.recorded_at, e.id LIMIT 1`,
    [tx.tenantId],
  );
  return rows[0]?.id ?? null;
}

export type BelievedCopy = {
  readonly keyCopyId: string;
  readonly intervals: CustodyInterval[];
  /** Whether each interval is lent until the time that its event says, and one at a site where its copy and holder say so. */
  termsFit: boolean;
};

/** Copies with where they were at every moment as the books have it now, by pages. */
export async function* streamBelieved(tx: TenantTransaction): AsyncGenerator<BelievedCopy[]> {
  for (let after: string | null = null; ; ) {
    const copies: { id: string }[] = (await tx.sql<{ id: string }>('SELECT id FROM key_copy WHERE tenant_id = $1 AND ($2::uuid IS NULL OR id > $2) ORDER BY id LIMIT $3', [tx.tenantId, after, PAGE_SIZE])).rows;
    const believed = new Map<string, BelievedCopy>(copies.map(({ id }) => [id, { keyCopyId: id, intervals: [], termsFit: true }]));
    const { rows } = await tx.sql<HolderColumns & { key_copy_id: string; event_id: string; state: Whereabouts['state']; held_from: Date; held_to: Date | null; terms_fit: boolean }>(
      `SELECT c.key_copy_id, c.event_id, c.state, c.person_id, c.store_id, c.place_id, c.held_from, c.held_to,
              (c.state <> 'held' OR c.due_back_at IS NOT DISTINCT FROM e.due_back_at)
                AND c.cash_box_at_site = (k.class = 'cash-box' AND (c.place_id IS NOT NULL OR p.site_id IS NOT NULL)) AS terms_fit
         FROM custody c
         JOIN key_copy k ON k.tenant_id = $1 AND k.id = c.key_copy_id
         LEFT JOIN person p ON p.tenant_id = $1 AND p.id = c.person_id
         LEFT JOIN custody_event e ON e.tenant_id = $1 AND e.id = c.event_id
        WHERE c.tenant_id = $1 AND c.key_copy_id = ANY ($2::uuid[]) AND c.known_to IS NULL ORDER BY c.held_from`,
      [tx.tenantId, [...believed.keys()]],
    );
    for (const row of rows) {
      const holder = holderOf(row);
      const where: Whereabouts = holder !== null ? { state: 'held', holder } : { state: row.state === 'destroyed' ? 'destroyed' : 'missing' };
      const copy = believed.get(row.key_copy_id);
      copy?.intervals.push({ from: row.held_from.getTime(), to: row.held_to?.getTime() ?? null, where, eventId: row.event_id });
      if (copy !== undefined && !row.terms_fit) copy.termsFit = false;
    }
    if (copies.length > 0) yield [...believed.values()];
    after = copies.at(-1)?.id ?? null;
    if (copies.length < PAGE_SIZE) return;
  }
}
