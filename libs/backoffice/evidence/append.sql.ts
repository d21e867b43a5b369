import type { TenantTransaction } from '#database/tenant';
import type { Frontier, TreeHead } from '#domain/evidence/merkle';

/** One leaf as it is written: `entry` is the canonical JSON whose bytes, after the salt, were hashed. */
export type NewLeaf = {
  readonly kind: string;
  readonly subjectId: string;
  readonly salt: Uint8Array;
  readonly entry: Uint8Array;
  readonly leafHash: Uint8Array;
};

/**
 * Locks the growing edge of the operator's log until the end of the transaction. Always the last lock that is taken:
 * every writer of evidence queues here, so nothing may be waited for behind it.
 */
export async function lockFrontier(tx: TenantTransaction): Promise<Frontier> {
  const select = 'SELECT size, nodes FROM evidence_frontier WHERE tenant_id = $1 FOR UPDATE';
  type Row = { size: bigint; nodes: Buffer[] };
  let { rows } = await tx.sql<Row>(select, [tx.tenantId]);
  if (rows.length === 0) {
    await tx.sql(`INSERT INTO evidence_frontier (tenant_id, size, nodes) VALUES ($1, 0, '{}') ON CONFLICT DO NOTHING`, [tx.tenantId]);
    ({ rows } = await tx.sql<Row>(select, [tx.tenantId]));
  }
  const stored = rows[0];
  if (stored === undefined) throw new Error('the evidence log has no edge to append to');
  return { size: Number(stored.size), peaks: stored.nodes };
}

/** Writes leaves after the first `firstIndex` ones, the head that they lead to, and the new edge. */
export async function saveLeaves(
  tx: TenantTransaction,
  written: { firstIndex: number; leaves: readonly NewLeaf[]; frontier: Frontier; head: TreeHead; recordedAt: Date },
): Promise<void> {
  const { firstIndex, leaves, frontier, head, recordedAt } = written;
  await tx.sql(
    `INSERT INTO evidence_leaf (tenant_id, leaf_index, kind, subject_id, salt, entry, leaf_hash, recorded_at)
     SELECT $1, $2::bigint + place - 1, kind, subject_id, salt, entry, leaf_hash, $3
       FROM unnest($4::text[], $5::uuid[], $6::bytea[], $7::bytea[], $8::bytea[])
            WITH ORDINALITY AS leaf (kind, subject_id, salt, entry, leaf_hash, place)`,
    [
      tx.tenantId,
      firstIndex,
      recordedAt,
      leaves.map((leaf) => leaf.kind),
      leaves.map((leaf) => leaf.subjectId),
      leaves.map((leaf) => leaf.salt),
      leaves.map((leaf) => leaf.entry),
      leaves.map((leaf) => leaf.leafHash),
    ],
  );
  await tx.sql('INSERT INTO evidence_head (tenant_id, size, root, recorded_at, nodes) VALUES ($1, $2, $3, $4, $5::bytea[])', [
    tx.tenantId,
    head.size,
    head.root,
    recordedAt,
    frontier.peaks,
  ]);
  await tx.sql('UPDATE evidence_frontier SET size = $2, nodes = $3::bytea[] WHERE tenant_id = $1', [tx.tenantId, frontier.size, frontier.peaks]);
}
