/** Whether the log of an operator only grew from one statement to the next: what several statements of one agreement show together. */
import { verifyConsistency } from '#domain/evidence/proof';
import { bytesToHex } from '@noble/hashes/utils';
import { holdsWhole, type Verdict, type VerifiedStatement } from '#statement/verify/verify-statement';

export type HeadsCompared =
  /** All that was in the log at the older statement lies unchanged in the log at the newer one. */
  | { readonly kind: 'extends' }
  | { readonly kind: 'does-not-extend' }
  /** Two files carry one number and say different things. */
  | { readonly kind: 'same-number' }
  /** The newer one proves it of the statement named, which is needed in between. */
  | { readonly kind: 'statement-between'; readonly statementNumber: string }
  | { readonly kind: 'nothing-to-compare' }
  /** The two say that they are of different operators: nothing was compared. */
  | { readonly kind: 'other-log' };

export interface Comparison {
  readonly older: VerifiedStatement;
  readonly newer: VerifiedStatement;
  readonly compared: HeadsCompared;
}

/** A statement that holds, and by what it is known whose log it is of. */
interface Signed {
  readonly statement: VerifiedStatement;
  readonly certificateFingerprint: string;
}

/**
 * Compares each statement with the one that it names as before it, or with the next smaller one by the size of the log where
 * that is not among them. Only files whose own findings hold take part, and each operator's apart: a log is one operator's,
 * whatever certificate signs its statements by and by. Of files of several operators it is said that they were not compared.
 */
export function comparisonsOf(verdicts: readonly Verdict[]): Comparison[] {
  const logs = logsOf(verdicts).map((log) => log.toSorted((one, other) => one.head.size - other.head.size));
  const within = logs.flatMap((inOrder) =>
    inOrder.slice(1).map((newer, index) => {
      const before = inOrder.slice(0, index + 1);
      const twin = before.find(({ number }) => number === newer.number);
      const older = twin ?? before.find(({ number }) => number === newer.earlierHead?.statementNumber) ?? before.at(-1) ?? newer;
      return { older, newer, compared: compareHeads(older, newer) };
    }),
  );
  const lasts = logs.flatMap((inOrder) => inOrder.slice(-1));
  const between = lasts.slice(1).map((newer, index) => ({ older: lasts[index] ?? newer, newer, compared: { kind: 'other-log' } as const }));
  return [...within, ...between];
}

/** The statements of one log each: of one operator, by one certificate, or one naming another as the one before it. */
function logsOf(verdicts: readonly Verdict[]): VerifiedStatement[][] {
  let logs: Signed[][] = [];
  for (const verdict of verdicts) {
    const { statement, signature } = verdict;
    if (statement === undefined || signature === undefined || !holdsWhole(verdict)) continue;
    const signed: Signed = { statement, certificateFingerprint: signature.certificateFingerprint };
    const own = logs.filter((log) => log.some((other) => isOfOneLog(signed, other)));
    logs = [...logs.filter((log) => !own.includes(log)), [...own.flat(), signed]];
  }
  return logs.map((log) => {
    const known = new Map(log.map(({ statement }) => [JSON.stringify([statement.number, ...saidBy(statement)]), statement]));
    return [...known.values()];
  });
}

function isOfOneLog(one: Signed, other: Signed): boolean {
  const [first, second] = [one.statement, other.statement];
  if (one.certificateFingerprint === other.certificateFingerprint) return true;
  if (first.operatorId !== undefined && second.operatorId !== undefined) return first.operatorId === second.operatorId;
  return first.earlierHead?.statementNumber === second.number || second.earlierHead?.statementNumber === first.number;
}

/** Compares the heads of two statements of one operator, in either order. The proof is in the newer one, about the statement just before it. */
export function compareHeads(one: VerifiedStatement, other: VerifiedStatement): HeadsCompared {
  const [older, newer] = one.head.size <= other.head.size ? [one, other] : [other, one];
  if (older.number === newer.number && String(saidBy(older)) !== String(saidBy(newer))) return { kind: 'same-number' };
  if (older.head.size === newer.head.size) return { kind: sameRoot(older.head.root, newer.head.root) ? 'extends' : 'does-not-extend' };
  const { earlierHead } = newer;
  if (earlierHead === undefined) return { kind: 'nothing-to-compare' };
  if (earlierHead.statementNumber === older.number && (earlierHead.size !== older.head.size || !sameRoot(earlierHead.root, older.head.root))) return { kind: 'does-not-extend' };
  if (earlierHead.size < older.head.size) return { kind: 'nothing-to-compare' };
  if (earlierHead.size > older.head.size) return { kind: 'statement-between', statementNumber: earlierHead.statementNumber };
  const holds = verifyConsistency({ older: older.head, newer: newer.head, proof: earlierHead.proof });
  return { kind: holds ? 'extends' : 'does-not-extend' };
}

/** What a statement says of the settlement and of the log. */
function saidBy({ settlementDigest, head }: VerifiedStatement): string[] {
  return [settlementDigest, String(head.size), bytesToHex(head.root)];
}

function sameRoot(one: Uint8Array, other: Uint8Array): boolean {
  return one.every((byte, index) => byte === other[index]);
}
