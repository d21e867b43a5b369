/** Whether the log of an operator only grew from one statement to the next: what several statements of one agreement show together. */
import { verifyConsistency } from '#domain/evidence/proof';
import { holdsWhole, type Verdict, type VerifiedStatement } from '#statement/verify/verify-statement';

export type HeadsCompared =
  /** All that was in the log at the older statement lies unchanged in the log at the newer one. */
  | { readonly kind: 'extends' }
  | { readonly kind: 'does-not-extend' }
  /** Two files carry one number and say different things. */
  | { readonly kind: 'same-number' }
  /** The newer one proves it of the statement named, which is needed in between. */
  | { readonly kind: 'statement-between'; readonly statementNumber: string }
  | { readonly kind: 'nothing-to-compare' };

export interface Comparison {
  readonly older: VerifiedStatement;
  readonly newer: VerifiedStatement;
  readonly compared: HeadsCompared;
}

/**
 * Compares each statement with the one that it names as before it, or with the next smaller one by the size of the log where
 * that is not among them. Only files whose own findings hold take part, and each signer's apart: a log is one operator's.
 */
export function comparisonsOf(verdicts: readonly Verdict[]): Comparison[] {
  const bySigner = new Map<string, VerifiedStatement[]>();
  for (const verdict of verdicts) {
    const { statement, signature } = verdict;
    if (statement === undefined || signature === undefined || !holdsWhole(verdict)) continue;
    const others = bySigner.get(signature.certificateFingerprint) ?? [];
    if (!others.some((other) => other.number === statement.number && other.settlementDigest === statement.settlementDigest)) others.push(statement);
    bySigner.set(signature.certificateFingerprint, others);
  }
  return [...bySigner.values()].flatMap((statements) => {
    const inOrder = statements.toSorted((one, other) => one.head.size - other.head.size);
    return inOrder.slice(1).map((newer, index) => {
      const before = inOrder.slice(0, index + 1);
      const twin = before.find(({ number }) => number === newer.number);
      const older = twin ?? before.find(({ number }) => number === newer.earlierHead?.statementNumber) ?? before.at(-1) ?? newer;
      return { older, newer, compared: compareHeads(older, newer) };
    });
  });
}

/** Compares the heads of two statements of one signer, in either order. The proof is in the newer one, about the statement just before it. */
export function compareHeads(one: VerifiedStatement, other: VerifiedStatement): HeadsCompared {
  const [older, newer] = one.head.size <= other.head.size ? [one, other] : [other, one];
  if (older.number === newer.number && older.settlementDigest !== newer.settlementDigest) return { kind: 'same-number' };
  if (older.head.size === newer.head.size) return { kind: sameRoot(older.head.root, newer.head.root) ? 'extends' : 'does-not-extend' };
  const { earlierHead } = newer;
  if (earlierHead === undefined) return { kind: 'nothing-to-compare' };
  if (earlierHead.statementNumber === older.number && (earlierHead.size !== older.head.size || !sameRoot(earlierHead.root, older.head.root))) return { kind: 'does-not-extend' };
  if (earlierHead.size < older.head.size) return { kind: 'nothing-to-compare' };
  if (earlierHead.size > older.head.size) return { kind: 'statement-between', statementNumber: earlierHead.statementNumber };
  const holds = verifyConsistency({ older: older.head, newer: newer.head, proof: earlierHead.proof });
  return { kind: holds ? 'extends' : 'does-not-extend' };
}

function sameRoot(one: Uint8Array, other: Uint8Array): boolean {
  return one.every((byte, index) => byte === other[index]);
}
