import type { KeyInventory } from '#contracts/key-inventory';
import type { TenantTransaction } from '#database/tenant';
import type { Holder, Whereabouts } from '#domain/keys/custody';

export async function insertInventory(tx: TenantTransaction, opened: { id: string; cause: string; storeId: string | null; reason: string; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO key_inventory (tenant_id, id, cause, key_store_id, opened_at, opened_by, reason) VALUES ($1, $2, $3, $4, $5, $6, $7)', [
    tx.tenantId, opened.id, opened.cause, opened.storeId, opened.now, tx.actor, opened.reason,
  ]);
  // What is missing is asked for, too: it may turn up.
  await tx.sql(
    `INSERT INTO key_inventory_copy (tenant_id, key_inventory_id, key_copy_id)
     SELECT $1, $2, c.key_copy_id FROM custody c
      WHERE c.tenant_id = $1 AND c.held_to IS NULL AND c.known_to IS NULL AND c.state <> 'destroyed' AND ($3::uuid IS NULL OR c.store_id = $3)`,
    [tx.tenantId, opened.id, opened.storeId],
  );
}

export type NewCount = { readonly keyCopyId: string; readonly how: 'seen' | 'attested'; readonly eventId: string | null; readonly at: Holder; readonly expected: Whereabouts };

export async function insertCounts(tx: TenantTransaction, write: { inventoryId: string; counts: readonly NewCount[]; now: Date; alone: boolean }): Promise<void> {
  const expected = write.counts.map(({ expected: where }) => (where.state === 'held' ? where.holder : null));
  await tx.sql(
    `INSERT INTO key_inventory_count (tenant_id, key_inventory_id, key_copy_id, how, event_id, holder_kind, holder_id, expected_state, expected_kind, expected_id, counted_at, counted_by, without_second_person)
     SELECT $1, $2, n.key_copy_id, n.how, n.event_id, n.holder_kind, n.holder_id, n.expected_state, n.expected_kind, n.expected_id, $3, $4, $5
       FROM unnest($6::uuid[], $7::text[], $8::uuid[], $9::text[], $10::uuid[], $11::text[], $12::text[], $13::uuid[])
            AS n (key_copy_id, how, event_id, holder_kind, holder_id, expected_state, expected_kind, expected_id)`,
    [
      tx.tenantId, write.inventoryId, write.now, tx.actor, write.alone,
      write.counts.map(({ keyCopyId }) => keyCopyId), write.counts.map(({ how }) => how), write.counts.map(({ eventId }) => eventId),
      write.counts.map(({ at }) => at.kind), write.counts.map(({ at }) => at.id),
      write.counts.map(({ expected: where }) => where.state), expected.map((holder) => holder?.kind ?? null), expected.map((holder) => holder?.id ?? null),
    ],
  );
}

export async function insertSurplus(tx: TenantTransaction, found: { id: string; inventoryId: string; keyCodeId: string | null; note: string; now: Date }): Promise<void> {
  await tx.sql('INSERT INTO key_inventory_surplus (tenant_id, id, key_inventory_id, key_code_id, note, recorded_at, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7)', [
    tx.tenantId, found.id, found.inventoryId, found.keyCodeId, found.note, found.now, tx.actor,
  ]);
}

/** Writes the result of a count and closes it for good. */
export async function closeInventory(tx: TenantTransaction, result: Pick<KeyInventory, 'id' | 'lines' | 'discrepancies'> & { at: Date; reason: string; newId: () => string }): Promise<void> {
  const { lines, discrepancies } = result;
  await tx.sql(
    `INSERT INTO key_inventory_line (tenant_id, key_inventory_id, key_code_id, made, duplicated, destroyed, in_stores, with_holders, missing, unaccounted)
     SELECT $1, $2, l.* FROM unnest($3::uuid[], $4::int[], $5::int[], $6::int[], $7::int[], $8::int[], $9::int[], $10::int[]) AS l`,
    [
      tx.tenantId, result.id, lines.map((line) => line.keyCodeId), lines.map((line) => line.made), lines.map((line) => line.duplicated), lines.map((line) => line.destroyed),
      lines.map((line) => line.inStores), lines.map((line) => line.withHolders), lines.map((line) => line.missing), lines.map((line) => line.unaccounted),
    ],
  );
  await tx.sql(
    `INSERT INTO key_inventory_discrepancy (tenant_id, id, key_inventory_id, kind, key_code_id, key_copy_id, note)
     SELECT $1, d.id, $2, d.kind, d.key_code_id, d.key_copy_id, d.note FROM unnest($3::uuid[], $4::text[], $5::uuid[], $6::uuid[], $7::text[]) AS d (id, kind, key_code_id, key_copy_id, note)`,
    [
      tx.tenantId, result.id, discrepancies.map(result.newId), discrepancies.map(({ kind }) => kind), discrepancies.map(({ keyCodeId }) => keyCodeId),
      discrepancies.map(({ keyCopyId }) => keyCopyId), discrepancies.map(({ note }) => note),
    ],
  );
  await tx.sql('UPDATE key_inventory SET closed_at = $3, closed_by = $4, closing_reason = $5 WHERE tenant_id = $1 AND id = $2', [tx.tenantId, result.id, result.at, tx.actor, result.reason]);
}
