import type { TenantTransaction } from '#database/tenant';
import { append, EMPTY_FRONTIER, type Frontier, type TreeHead } from '#domain/evidence/merkle';
import type { LeafRange } from '#domain/evidence/proof';
import { sha256 } from './append';
import type { StoredLeaf } from './verify-log';

/** Rows per query when many are read: some hundred kilobytes. */
const PAGE_SIZE = 5000;

export type HeadRow = { readonly size: bigint; readonly root: Buffer; readonly recorded_at: Date };

/** The newest head, or undefined while the log is empty. */
export async function readHead(tx: TenantTransaction): Promise<HeadRow | undefined> {
  const { rows } = await tx.sql<HeadRow>(
    'SELECT size, root, recorded_at FROM evidence_head WHERE tenant_id = $1 ORDER BY size DESC LIMIT 1',
    [tx.tenantId],
  );
  return rows[0];
}

/** The edge of the tree at a head, or undefined where it was not kept. */
export async function readNodes(tx: TenantTransaction, size: number): Promise<Frontier | undefined> {
  const { rows } = await tx.sql<{ nodes: Buffer[] }>('SELECT nodes FROM evidence_head WHERE tenant_id = $1 AND size = $2 AND cardinality(nodes) > 0', [tx.tenantId, size]);
  return rows[0] === undefined ? undefined : { size, peaks: rows[0].nodes };
}

export type LeafRow = {
  readonly leaf_index: bigint;
  readonly kind: string;
  readonly subject_id: string;
  readonly salt: Buffer;
  readonly entry: Buffer;
  readonly leaf_hash: Buffer;
  readonly recorded_at: Date;
};

export async function readLeaf(tx: TenantTransaction, index: number): Promise<LeafRow | undefined> {
  const { rows } = await tx.sql<LeafRow>(
    `SELECT leaf_index, kind, subject_id, salt, entry, leaf_hash, recorded_at
       FROM evidence_leaf WHERE tenant_id = $1 AND leaf_index = $2`,
    [tx.tenantId, index],
  );
  return rows[0];
}

/** The hashes of some leaves that follow each other. */
export async function readLeafHashes(tx: TenantTransaction, range: LeafRange): Promise<Buffer[]> {
  const { rows } = await tx.sql<{ leaf_hash: Buffer }>(
    'SELECT leaf_hash FROM evidence_leaf WHERE tenant_id = $1 AND leaf_index >= $2 AND leaf_index < $3 ORDER BY leaf_index',
    [tx.tenantId, range.start, range.end],
  );
  return rows.map((row) => row.leaf_hash);
}

/** The edge of the tree over some leaves that follow each other, folded page by page from their hashes. */
export async function frontierOver(tx: TenantTransaction, range: LeafRange): Promise<Frontier> {
  let frontier = EMPTY_FRONTIER;
  for (let start = range.start; start < range.end; start += PAGE_SIZE) {
    const { rows } = await tx.sql<{ leaf_hash: Buffer }>(
      `SELECT leaf_hash FROM evidence_leaf WHERE tenant_id = $1 AND leaf_index >= $2 AND leaf_index < $3 ORDER BY leaf_index`,
      [tx.tenantId, start, Math.min(start + PAGE_SIZE, range.end)],
    );
    frontier = rows.reduce<Frontier>((grown, row) => append(grown, row.leaf_hash, sha256), frontier);
  }
  return frontier;
}

/** The leaves below a size in order, page by page; what is appended while they are read stays out. */
export async function* streamLeaves(tx: TenantTransaction, below: bigint): AsyncGenerator<StoredLeaf> {
  for (let next = 0n; ; ) {
    const { rows } = await tx.sql<LeafRow>(
      `SELECT leaf_index, kind, subject_id, salt, entry, leaf_hash, recorded_at
         FROM evidence_leaf WHERE tenant_id = $1 AND leaf_index >= $2 AND leaf_index < $4 ORDER BY leaf_index LIMIT $3`,
      [tx.tenantId, next, PAGE_SIZE, below],
    );
    for (const row of rows) {
      yield { index: Number(row.leaf_index), kind: row.kind, subjectId: row.subject_id, salt: row.salt, entry: row.entry, leafHash: row.leaf_hash };
    }
    const last = rows.at(-1);
    if (last === undefined || rows.length < PAGE_SIZE) return;
    next = last.leaf_index + 1n;
  }
}

/** The heads that were ever reached, up to a size, in order. */
export async function* streamHeads(tx: TenantTransaction, upTo: bigint): AsyncGenerator<TreeHead> {
  for (let after = 0n; ; ) {
    const { rows } = await tx.sql<{ size: bigint; root: Buffer }>(
      'SELECT size, root FROM evidence_head WHERE tenant_id = $1 AND size > $2 AND size <= $4 ORDER BY size LIMIT $3',
      [tx.tenantId, after, PAGE_SIZE, upTo],
    );
    for (const row of rows) yield { size: Number(row.size), root: row.root };
    const last = rows.at(-1);
    if (last === undefined || rows.length < PAGE_SIZE) return;
    after = last.size;
  }
}

/** How far the log reaches now: entries or heads, whichever go further, so that a missing one of either is seen. */
export async function readLogSize(tx: TenantTransaction): Promise<bigint> {
  const { rows } = await tx.sql<{ size: bigint }>(
    `SELECT greatest((SELECT coalesce(max(size), 0) FROM evidence_head WHERE tenant_id = $1),
                     (SELECT coalesce(max(leaf_index) + 1, 0) FROM evidence_leaf WHERE tenant_id = $1)) AS size`,
    [tx.tenantId],
  );
  return rows[0]?.size ?? 0n;
}
