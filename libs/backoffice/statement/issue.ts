import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import { notSignedInWords } from '#statement/sign/sign-pdf';
import { renderStatement, signStatement } from '#statement/statement';
import type { OperatorSigner } from '../certificate/signer';
import type { WorkDeps } from '../close/work';
import { lockLog } from '../evidence/append';
import { insertEvents } from '../settlement/save.sql';
import { insertMailsAtIssue } from '../statement-mail/statement-mail.sql';
import { announce } from '../webhook/announce.sql';
import type { PreparedStatement } from './prepare';
import { insertStatements, lockNumbered, markIssued, type StatementRow } from './store.sql';

/** A statement that is made and not stored yet. */
export type SignedStatement = StatementRow & { readonly number: string; readonly certificateFingerprint: string };

/**
 * Renders and signs. The same settlement gives the same page whenever it is rendered; only the signature, which is random,
 * differs, and the first one that is stored stays. A key that lies elsewhere and does not sign is no fault of the statement: it is
 * made as soon as the key can be reached.
 */
export async function makeStatement(prepared: PreparedStatement, { certificateId, signer }: OperatorSigner): Promise<{ statement: SignedStatement } | { waitsForKey: string }> {
  const { unsignedPdf, unsignedDigest } = await renderStatement(prepared.document());
  const signed = await signStatement({ unsignedPdf, signer });
  if (!signed.ok) {
    if (signed.problem === 'signature-too-large') throw new Error(notSignedInWords(signed));
    return { waitsForKey: notSignedInWords(signed) };
  }
  const statement: SignedStatement = {
    settlementId: prepared.settlementId,
    number: prepared.number,
    certificateId,
    pdf: signed.signedPdf,
    pdfDigest: Buffer.from(signed.signedDigest, 'hex'),
    unsignedDigest: Buffer.from(unsignedDigest, 'hex'),
    certificateFingerprint: signed.certificateFingerprint,
  };
  return { statement };
}

/**
 * Stores statements with all that issuing means: the bytes, the leaf with their digest, the state, the event for
 * whoever waits for it, and the mails of an operator who has them sent at once. What another worker has issued meanwhile is left alone. Gives the ids that were issued now.
 */
export async function storeStatements(
  deps: WorkDeps,
  tx: TenantTransaction,
  command: { statements: readonly SignedStatement[]; by: string },
): Promise<string[]> {
  const waiting = await lockNumbered(tx, command.statements.map((statement) => statement.settlementId));
  const rows = command.statements.filter((statement) => waiting.has(statement.settlementId));
  if (rows.length === 0) return [];
  const now = deps.clock.now();
  const ids = rows.map((row) => row.settlementId);
  await insertStatements(tx, { rows, storedAt: now });
  await markIssued(tx, { ids, now });
  await insertEvents(tx, { ids: ids.map(() => deps.newId()), settlementIds: ids, kind: 'issued', at: now, by: command.by });
  await announce(tx, { type: 'settlement.issued', told: ids.map((subjectId) => ({ subjectId })), now });
  await insertMailsAtIssue(tx, { settlementIds: ids, by: command.by, now });
  const log = await lockLog(tx, { now: deps.clock.now, randomBytes: deps.randomBytes });
  await log.append(
    rows.map((row) => ({
      subjectId: row.settlementId,
      entry: {
        format: 1,
        kind: 'statement-issued',
        settlementId: row.settlementId,
        statementNumber: row.number,
        unsignedDigest: row.unsignedDigest.toString('hex'),
        signedDigest: row.pdfDigest.toString('hex'),
        certificateFingerprint: row.certificateFingerprint,
        recordedAt: formatInstant(now),
      },
    })),
  );
  return ids;
}
