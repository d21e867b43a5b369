import { hash } from 'node:crypto';
import type { TenantTransaction } from '#database/tenant';
import { encodeLeaf, SALT_BYTES, type EvidenceEntry } from '#domain/evidence/leaf';
import { append, headOf, leafHash, type Frontier, type Sha256, type TreeHead } from '#domain/evidence/merkle';
import { lockFrontier, saveLeaves, type NewLeaf } from './append.sql';

/** What appending needs from the process: both are injected, so that a test can say what the log must look like. */
export type EvidenceDeps = {
  readonly now: () => Date;
  readonly randomBytes: (length: number) => Uint8Array;
};

/** SHA-256 by OpenSSL, for a server that hashes many leaves; in one call, as an object per hash costs half as much again. */
export const sha256: Sha256 = (message) => hash('sha256', message, 'buffer');

/** An edge of the log that this transaction holds the lock on. */
export type LockedLog = {
  /** The head before anything that this transaction appends. */
  readonly head: TreeHead;
  /** Appends entries in their order and gives the head after them. `subjectId` is what an entry is looked up by. */
  readonly append: (entries: readonly { subjectId: string; entry: EvidenceEntry }[]) => Promise<TreeHead>;
};

/**
 * Takes the lock on the operator's evidence log: the last lock before COMMIT, after period, settlement and number
 * counter. Two writers append one after the other, so every leaf has one place and every head one meaning.
 */
export async function lockLog(tx: TenantTransaction, deps: EvidenceDeps): Promise<LockedLog> {
  let frontier = await lockFrontier(tx);
  return {
    head: headOf(frontier, sha256),
    append: async (entries) => {
      if (entries.length === 0) return headOf(frontier, sha256);
      const firstIndex = frontier.size;
      const leaves = entries.map(({ subjectId, entry }) => newLeaf({ subjectId, entry, salt: deps.randomBytes(SALT_BYTES) }));
      frontier = leaves.reduce<Frontier>((grown, leaf) => append(grown, leaf.leafHash, sha256), frontier);
      const head = headOf(frontier, sha256);
      await saveLeaves(tx, { firstIndex, leaves, frontier, head, recordedAt: deps.now() });
      return head;
    },
  };
}

function newLeaf(parts: { subjectId: string; entry: EvidenceEntry; salt: Uint8Array }): NewLeaf {
  const bytes = encodeLeaf(parts);
  return {
    kind: parts.entry.kind,
    subjectId: parts.subjectId,
    salt: parts.salt,
    entry: bytes.subarray(SALT_BYTES),
    leafHash: leafHash(bytes, sha256),
  };
}
