import type { DenialHow } from '#contracts/custody';
import type { CustodyConfirmation } from '#contracts/custody-acknowledgement';
import type { TenantTransaction } from '#database/tenant';
import type { CustodyKind, Holder } from '#domain/keys/custody';
import { holderOf } from './timeline.sql';

/** An event as far as somebody confirms it. `standing`: for some copy no correction took its place. */
export type ConfirmedEvent = { readonly id: string; readonly says: CustodyKind | null; readonly happenedAt: Date; readonly recordedAt: Date; readonly from: Holder | null; readonly to: Holder | null; readonly standing: boolean };

export async function selectConfirmed(tx: TenantTransaction, id: string): Promise<ConfirmedEvent | null> {
  type Row = { [column in `${'from' | 'to'}_${'person' | 'store' | 'place'}_id`]: string | null } & { id: string; says: CustodyKind | null; happened_at: Date; recorded_at: Date; standing: boolean };
  const { rows } = await tx.sql<Row>(
    `SELECT e.id, e.says, e.happened_at, e.recorded_at, e.from_person_id, e.from_store_id, e.from_place_id, e.to_person_id, e.to_store_id, e.to_place_id,
            EXISTS (SELECT FROM custody_event_copy c WHERE c.tenant_id = $1 AND c.event_id = e.id
                       AND NOT EXISTS (SELECT FROM custody_event_copy n WHERE n.tenant_id = $1 AND n.corrects_id = e.id AND n.key_copy_id = c.key_copy_id)) AS standing
       FROM custody_event e WHERE e.tenant_id = $1 AND e.id = $2`,
    [tx.tenantId, id],
  );
  const [row] = rows;
  if (row === undefined) return null;
  return {
    id: row.id,
    says: row.says,
    happenedAt: row.happened_at,
    recordedAt: row.recorded_at,
    standing: row.standing,
    from: holderOf({ person_id: row.from_person_id, store_id: row.from_store_id, place_id: row.from_place_id }),
    to: holderOf({ person_id: row.to_person_id, store_id: row.to_store_id, place_id: row.to_place_id }),
  };
}

export async function selectConfirmedSides(tx: TenantTransaction, eventId: string): Promise<string[]> {
  const { rows } = await tx.sql<{ side: string }>('SELECT side FROM custody_acknowledgement WHERE tenant_id = $1 AND event_id = $2', [tx.tenantId, eventId]);
  return rows.map((row) => row.side);
}

/** Who said so first is named; for one side it is said once. */
export async function insertDenial(tx: TenantTransaction, denial: { event: ConfirmedEvent; side: string; personId: string; how: DenialHow; now: Date }): Promise<void> {
  const { event, side, personId, how, now } = denial;
  // What is denied was in the books before, whatever the clock says meanwhile.
  const at = new Date(Math.max(now.getTime(), event.recordedAt.getTime()));
  await tx.sql('INSERT INTO custody_denial (tenant_id, event_id, side, person_id, how, denied_at) VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (tenant_id, event_id, side) DO NOTHING', [
    tx.tenantId, event.id, side, personId, how, at,
  ]);
}

export async function insertSignature(tx: TenantTransaction, signed: { eventId: string; side: string; name: string; signature: string; salt: Uint8Array; digest: Uint8Array }): Promise<void> {
  await tx.sql('INSERT INTO custody_signature (tenant_id, event_id, side, signed_name, signature, salt, digest) VALUES ($1, $2, $3, $4, $5, $6, $7)', [
    tx.tenantId, signed.eventId, signed.side, signed.name, signed.signature, signed.salt, signed.digest,
  ]);
}

export async function insertLink(
  tx: TenantTransaction,
  link: { id: string; eventId: string; side: string; personId: string; secretHash: Uint8Array; now: Date; until: Date },
): Promise<void> {
  await tx.sql('INSERT INTO custody_link (tenant_id, id, event_id, side, person_id, secret_hash, created_at, created_by, expires_at) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)', [
    tx.tenantId, link.id, link.eventId, link.side, link.personId, link.secretHash, link.now, tx.actor, link.until,
  ]);
}

export type LinkRow = { event_id: string; side: 'giver' | 'receiver'; person_id: string; confirmed_at: Date | null; denied_at: Date | null; denied_how: DenialHow | null };

/** A link that has not expired. */
export async function selectLink(tx: TenantTransaction, query: { secretHash: Uint8Array; now: Date }): Promise<LinkRow | null> {
  const { rows } = await tx.sql<LinkRow>(
    `SELECT l.event_id, l.side, l.person_id, a.acknowledged_at AS confirmed_at, d.denied_at, d.how AS denied_how
       FROM custody_link l LEFT JOIN custody_acknowledgement a ON a.tenant_id = $1 AND a.event_id = l.event_id AND a.side = l.side
       LEFT JOIN custody_denial d ON d.tenant_id = $1 AND d.event_id = l.event_id AND d.side = l.side
      WHERE l.tenant_id = $1 AND l.secret_hash = $2 AND l.expires_at > $3`,
    [tx.tenantId, query.secretHash, query.now],
  );
  return rows[0] ?? null;
}

export type ConfirmationRow = { operator_name: string; person_name: string; says: CustodyKind; happened_at: Date; due_back_at: Date | null; from_name: string; to_name: string; copies: CustodyConfirmation['copies'] };

/** What is confirmed, in the names that people know. */
export async function selectConfirmation(tx: TenantTransaction, of: { eventId: string; personId: string }): Promise<ConfirmationRow | null> {
  const nameOf = (side: 'from' | 'to'): string =>
    `coalesce((SELECT p.name FROM person p WHERE p.tenant_id = $1 AND p.id = e.${side}_person_id),
              (SELECT s.name FROM key_store s WHERE s.tenant_id = $1 AND s.id = e.${side}_store_id),
              (SELECT l.name FROM key_place l WHERE l.tenant_id = $1 AND l.id = e.${side}_place_id))`;
  const { rows } = await tx.sql<ConfirmationRow>(
    `SELECT o.name AS operator_name, person.name AS person_name, e.says, e.happened_at, e.due_back_at, ${nameOf('from')} AS from_name, ${nameOf('to')} AS to_name,
            (SELECT json_agg(json_build_object('number', k.number, 'class', k.class) ORDER BY k.number)
               FROM custody_event_copy c JOIN key_copy k ON k.tenant_id = $1 AND k.id = c.key_copy_id
              WHERE c.tenant_id = $1 AND c.event_id = e.id
                AND NOT EXISTS (SELECT FROM custody_event_copy newer WHERE newer.tenant_id = $1 AND newer.corrects_id = e.id AND newer.key_copy_id = c.key_copy_id)) AS copies
       FROM custody_event e JOIN operator o ON o.tenant_id = $1 JOIN person ON person.tenant_id = $1 AND person.id = $3
      WHERE e.tenant_id = $1 AND e.id = $2`,
    [tx.tenantId, of.eventId, of.personId],
  );
  return rows[0] ?? null;
}

/** Signatures on an event that were not erased. */
export async function selectSignatures(tx: TenantTransaction, eventId: string): Promise<{ side: 'giver' | 'receiver'; signed_name: string; signature: string }[]> {
  const { rows } = await tx.sql<{ side: 'giver' | 'receiver'; signed_name: string; signature: string }>(
    'SELECT side, signed_name, signature FROM custody_signature WHERE tenant_id = $1 AND event_id = $2 AND erased_at IS NULL',
    [tx.tenantId, eventId],
  );
  return rows;
}

/** The place of the leaf that an event has in the evidence log. */
export async function selectLeafIndex(tx: TenantTransaction, eventId: string): Promise<number | null> {
  const { rows } = await tx.sql<{ leaf_index: bigint }>(
    `SELECT leaf_index FROM evidence_leaf WHERE tenant_id = $1 AND subject_id = $2 AND kind = 'custody-recorded' ORDER BY leaf_index LIMIT 1`,
    [tx.tenantId, eventId],
  );
  return rows[0] === undefined ? null : Number(rows[0].leaf_index);
}
