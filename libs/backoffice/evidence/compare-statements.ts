import { createHash } from 'node:crypto';
import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import { canonicalJson } from '#domain/evidence/canonical-json';
import type { CertificateRevoked, SettlementReversed, StatementIssued } from '#domain/evidence/leaf';
import { streamLeavesOfKind } from '../custody/compare-log.sql';
import { textName, type LoggedErasures } from '../erasure/compare-log';
import { selectStoredReversals, selectStoredRevocations, selectStoredStatements, type Vouched } from './compare-statements.sql';

/** The first entry, counted from 0, that is not what the tables say of what it is about. */
export type WrongEntry = { readonly about: Vouched; readonly id: string; readonly index: number };

/** Makes each entry about a statement, a reversal and a revocation anew from what is stored, and compares the bytes. */
export async function compareStatements(tx: TenantTransaction, { below, erased }: { below: bigint; erased: LoggedErasures }): Promise<WrongEntry | null> {
  const kinds: readonly { kind: StoredEntry['kind']; about: Vouched; entriesNow: (ids: readonly string[]) => Promise<StoredEntry[]> }[] = [
    { kind: 'statement-issued', about: 'statement', entriesNow: (ids) => statementsNow(tx, ids) },
    { kind: 'settlement-reversed', about: 'reversal', entriesNow: (ids) => reversalsNow(tx, { ids, erased }) },
    { kind: 'certificate-revoked', about: 'revocation', entriesNow: (ids) => revocationsNow(tx, ids) },
  ];
  const wrong: WrongEntry[] = [];
  for (const { kind, about, entriesNow } of kinds) {
    for await (const leaves of streamLeavesOfKind(tx, { kind, below })) {
      const stored = new Set((await entriesNow(leaves.map((leaf) => leaf.subject_id))).map((entry) => canonicalJson(entry)));
      const first = leaves.find((leaf) => !stored.has(leaf.entry.toString('utf8')));
      if (first === undefined) continue;
      wrong.push({ about, id: first.subject_id, index: Number(first.leaf_index) });
      break;
    }
  }
  return wrong.sort((left, right) => left.index - right.index)[0] ?? null;
}

type StoredEntry = StatementIssued | SettlementReversed | CertificateRevoked;

async function statementsNow(tx: TenantTransaction, ids: readonly string[]): Promise<StatementIssued[]> {
  return (await selectStoredStatements(tx, ids)).map((row) => ({
    format: 1,
    kind: 'statement-issued',
    settlementId: row.settlement_id,
    statementNumber: row.number,
    unsignedDigest: row.unsigned_digest.toString('hex'),
    signedDigest: row.digest.toString('hex'),
    certificateFingerprint: row.fingerprint.toString('hex'),
    recordedAt: formatInstant(row.stored_at),
  }));
}

/** Of a reason out of which a name was taken, the entry about that says what it was; what is left of it is compared with that entry. */
async function reversalsNow(tx: TenantTransaction, { ids, erased }: { ids: readonly string[]; erased: LoggedErasures }): Promise<SettlementReversed[]> {
  return (await selectStoredReversals(tx, ids)).map((row) => ({
    format: 1,
    kind: 'settlement-reversed',
    reversalId: row.id,
    settlementId: row.settlement_id,
    statementNumber: row.number,
    accountingDate: row.accounting_date,
    reasonDigest: erased.get(textName({ table: 'settlement_reversal', column: 'reason', row: row.id }))?.[0]?.digestBefore ?? createHash('sha256').update(row.reason, 'utf8').digest('hex'),
    reversedBy: row.recorded_by,
    recordedAt: formatInstant(row.recorded_at),
  }));
}

async function revocationsNow(tx: TenantTransaction, ids: readonly string[]): Promise<CertificateRevoked[]> {
  return (await selectStoredRevocations(tx, ids)).map((row) => ({
    format: 1,
    kind: 'certificate-revoked',
    revocationId: row.id,
    step: row.step,
    certificateFingerprint: row.fingerprint.toString('hex'),
    revokedFrom: formatInstant(row.revoked_from),
    recordedAt: formatInstant(row.made_at),
    recordedBy: row.made_by,
  }));
}
