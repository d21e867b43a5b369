import type { Consistency, ConsistencyQuery, EvidenceHead, EvidenceLeaf, Inclusion, InclusionQuery } from '#contracts/evidence';
import { formatInstant } from '#contracts/format';
import { done, refused, type Outcome } from '#contracts/outcome';
import type { TenantTransaction } from '#database/tenant';
import { EMPTY_FRONTIER, headOf, rootOfFrontier, sameHash, type TreeHead } from '#domain/evidence/merkle';
import { consistencyProofAfter, consistencyRanges, inclusionRanges, type LeafRange } from '#domain/evidence/proof';
import type { Caller } from '../caller';
import type { Backoffice } from '../dependencies';
import { perform } from '../perform';
import { sha256 } from './append';
import { frontierOver, readHead, readLeaf, readLeafHashes, readNodes } from './read.sql';

/** The newest head of the operator's log, to be kept by somebody outside. */
export function readEvidenceHead(deps: Backoffice, caller: Caller): Promise<Outcome<EvidenceHead>> {
  return perform<EvidenceHead>(deps, caller, 'evidence.read', async ({ tx }) => {
    const head = await readHead(tx);
    if (head === undefined) return done({ ...headBody(headOf(EMPTY_FRONTIER, sha256)), recordedAt: null });
    return done({ size: Number(head.size), root: head.root.toString('hex'), recordedAt: formatInstant(head.recorded_at) });
  });
}

/** One leaf with everything that is needed to hash it again. */
export function readEvidenceLeaf(deps: Backoffice, caller: Caller, index: number): Promise<Outcome<EvidenceLeaf>> {
  return perform<EvidenceLeaf>(deps, caller, 'evidence.read', async ({ tx }) => {
    const leaf = await readLeaf(tx, index);
    if (leaf === undefined) return refused('not-found');
    return done({
      index,
      kind: leaf.kind,
      subjectId: leaf.subject_id,
      salt: leaf.salt.toString('hex'),
      entry: leaf.entry.toString('utf8'),
      leafHash: leaf.leaf_hash.toString('hex'),
      recordedAt: formatInstant(leaf.recorded_at),
    });
  });
}

/** Proof that a leaf lies under a head (RFC 9162 section 2.1.3). */
export function proveInclusion(deps: Backoffice, caller: Caller, query: InclusionQuery): Promise<Outcome<Inclusion>> {
  return perform<Inclusion>(deps, caller, 'evidence.read', async ({ tx }) => {
    const proven = await inclusionOf(tx, query);
    return proven === undefined ? refused('not-found') : done(proven);
  });
}

/** The same within a transaction, or undefined where the log has no such leaf or is not that long. */
export async function inclusionOf(tx: TenantTransaction, query: InclusionQuery): Promise<Inclusion | undefined> {
  const size = await sizeWithin(tx, query.size);
  const ranges = size === undefined ? undefined : inclusionRanges({ index: query.index, size });
  const leaf = ranges === undefined ? undefined : await readLeaf(tx, query.index);
  if (size === undefined || ranges === undefined || leaf === undefined) return undefined;
  return {
    index: query.index,
    leafHash: leaf.leaf_hash.toString('hex'),
    head: headBody(await headAt(tx, size)),
    proof: await rootsOver(tx, ranges),
  };
}

/** Proof that everything under an older head lies unchanged under a newer one (RFC 9162 section 2.1.4). */
export function proveConsistency(deps: Backoffice, caller: Caller, query: ConsistencyQuery): Promise<Outcome<Consistency>> {
  return perform<Consistency>(deps, caller, 'evidence.read', async ({ tx }) => {
    const newer = await sizeWithin(tx, query.to);
    const ranges = newer === undefined ? undefined : consistencyRanges({ older: query.from, newer });
    if (newer === undefined || ranges === undefined) return refused('not-found');
    return done({
      older: headBody(await headAt(tx, query.from)),
      newer: headBody(await headAt(tx, newer)),
      proof: await rootsOver(tx, ranges),
    });
  });
}

/**
 * The proof, in hex, that everything under an older head lies unchanged under a newer one of `newerSize`. Reads no leaf
 * before the older head where that was kept with its edge, and the edge leads to its root: a wrong one would be signed.
 */
export async function consistencyOf(tx: TenantTransaction, heads: { older: TreeHead; newerSize: number }): Promise<string[]> {
  const { size, root } = heads.older;
  const kept = await readNodes(tx, size);
  const older = kept !== undefined && sameHash(rootOfFrontier(kept, sha256), root) ? kept : await frontierOver(tx, { start: 0, end: size });
  return consistencyProofAfter({ older, laterLeafHashes: await readLeafHashes(tx, { start: size, end: heads.newerSize }) }, sha256).map(hex);
}

/** The size asked for, the present one when none was, or undefined when the log is not that long. */
async function sizeWithin(tx: TenantTransaction, asked: number | undefined): Promise<number | undefined> {
  const present = Number((await readHead(tx))?.size ?? 0n);
  if (asked === undefined) return present;
  return asked <= present ? asked : undefined;
}

async function headAt(tx: TenantTransaction, size: number): Promise<TreeHead> {
  return headOf(await frontierOver(tx, { start: 0, end: size }), sha256);
}

async function rootsOver(tx: TenantTransaction, ranges: readonly LeafRange[]): Promise<string[]> {
  const roots: string[] = [];
  for (const range of ranges) roots.push(hex(rootOfFrontier(await frontierOver(tx, range), sha256)));
  return roots;
}

function headBody(head: TreeHead): { size: number; root: string } {
  return { size: head.size, root: hex(head.root) };
}

function hex(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString('hex');
}
