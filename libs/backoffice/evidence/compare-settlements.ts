import type { TenantTransaction } from '#database/tenant';
import { streamLeavesOfKind, type LeafOfKind } from '../custody/compare-log.sql';
import type { LoggedErasures } from '../erasure/compare-log';
import { settlementDigest } from '../settlement/document';
import { compareStatements, type WrongEntry } from './compare-statements';
import { selectUnvouched, type Vouched } from './compare-statements.sql';

/**
 * `differs` names the first entry, counted from 0, that is not what the tables say now of what it is about; `without-entry`
 * something that the log does not hold. `id` is that of the settlement, also of a statement and a reversal, or of the revocation.
 */
export type SettlementFinding =
  | { readonly kind: 'fits' }
  | { readonly kind: 'differs'; readonly about: Vouched; readonly id: string; readonly index: number }
  | { readonly kind: 'without-entry'; readonly about: Vouched; readonly id: string };

/** Settlements hold whole documents, so few are in memory at once. */
const AT_ONCE = 100;

/**
 * Compares what is stored of settlements with the log: figures, statements as they were given out, reversals, and revocations
 * of certificates. A log that fits under a head from outside then vouches for all of it.
 */
export async function compareSettlements(tx: TenantTransaction, of: { below: bigint; erased: LoggedErasures }): Promise<SettlementFinding> {
  const wrong = [await firstWrongFigures(tx, of.below), await compareStatements(tx, of)].flatMap((each) => each ?? []);
  const [first] = wrong.sort((left, right) => left.index - right.index);
  if (first !== undefined) return { kind: 'differs', ...first };
  const unvouched = await selectUnvouched(tx);
  return unvouched === null ? { kind: 'fits' } : { kind: 'without-entry', ...unvouched };
}

/** Digests each numbered settlement anew from what is stored of it, and compares with the entry that it got with its number. */
async function firstWrongFigures(tx: TenantTransaction, below: bigint): Promise<WrongEntry | null> {
  for await (const leaves of streamLeavesOfKind(tx, { kind: 'settlement-numbered', below })) {
    for (let start = 0; start < leaves.length; start += AT_ONCE) {
      const some = leaves.slice(start, start + AT_ONCE);
      const stored = await digestsNow(tx, some.map((leaf) => leaf.subject_id));
      const wrong = some.find((leaf) => stored.get(leaf.subject_id) !== entryText(leaf));
      if (wrong !== undefined) return { about: 'settlement', id: wrong.subject_id, index: Number(wrong.leaf_index) };
    }
  }
  return null;
}

/** Number and digest of each, as in an entry. */
async function digestsNow(tx: TenantTransaction, ids: readonly string[]): Promise<Map<string, string>> {
  const { rows } = await tx.sql<{ id: string; number: string; issued_on: string; inputs: string; result: string }>(
    'SELECT id, number, issued_on, inputs, result FROM settlement WHERE tenant_id = $1 AND id = ANY ($2::uuid[]) AND number IS NOT NULL',
    [tx.tenantId, ids],
  );
  return new Map(
    rows.map(({ id, number, issued_on: issuedOn, inputs, result }) => {
      const digest = settlementDigest({ settlementId: id, number, issuedOn, inputsText: inputs, resultText: result }).toString('hex');
      return [id, `${number} ${digest}`];
    }),
  );
}

/** What an entry says of number and digest; nothing where it is no entry of its kind. */
function entryText(leaf: LeafOfKind): string {
  try {
    const entry = JSON.parse(leaf.entry.toString('utf8')) as { statementNumber?: unknown; settlementDigest?: unknown };
    return `${String(entry.statementNumber)} ${String(entry.settlementDigest)}`;
  } catch {
    return '';
  }
}
