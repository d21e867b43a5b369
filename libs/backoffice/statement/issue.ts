import { formatInstant } from '#contracts/format';
import type { TenantTransaction } from '#database/tenant';
import { checkSignature, isSound } from '#statement/sign/check-signature';
import type { SignatureStamp } from '#statement/sign/cms';
import { notSignedInWords } from '#statement/sign/sign-pdf';
import { STAMPED_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';
import { stamp, type TimestampAuthority } from '#statement/sign/timestamp';
import { renderStatement, signStatement } from '#statement/statement';
import type { OperatorSigner, SigningDeps } from '../certificate/signer';
import type { Missed } from '../close/batch.sql';
import type { WorkDeps } from '../close/work';
import { lockLog } from '../evidence/append';
import { insertEvents } from '../settlement/save.sql';
import { insertMailsAtIssue } from '../statement-mail/statement-mail.sql';
import { announce } from '../webhook/announce.sql';
import type { PreparedStatement } from './prepare';
import { insertStatements, lockNumbered, markIssued, type StatementRow } from './store.sql';

/** What signs, and who stamps the signature for operators that want it; absent where the installation names nobody. */
export type StatementDeps = SigningDeps & { readonly timestampAuthority?: TimestampAuthority | undefined };

/** A statement that is made and not stored yet. */
export type SignedStatement = StatementRow & { readonly number: string; readonly certificateFingerprint: string };

/**
 * Renders and signs. The same settlement gives the same page whenever it is rendered; only the signature, which is random,
 * differs, and the first one that is stored stays. A key that lies elsewhere and does not sign, or an authority that does not stamp,
 * is no fault of the statement: it is made as soon as they can be reached. `onSigned` is called where only the stamp is still to come.
 */
export async function makeStatement(deps: StatementDeps, prepared: PreparedStatement, { certificateId, signer }: OperatorSigner, onSigned: () => void = () => undefined): Promise<{ statement: SignedStatement } | { missed: Missed }> {
  const { isStamped } = prepared;
  const { unsignedPdf, unsignedDigest } = await renderStatement(prepared.document(), isStamped ? { signatureRoomBytes: STAMPED_SIGNATURE_ROOM_BYTES } : {});
  const stampSigned = (signature: Uint8Array): Promise<SignatureStamp> => {
    onSigned();
    return stampSignature(deps, signature);
  };
  const signed = await signStatement({ unsignedPdf, signer, ...(isStamped ? { stampSignature: stampSigned } : {}) });
  if (!signed.ok) {
    const said = notSignedInWords(signed);
    // A certificate that is taken fits into the usual room: what does not is the stamp.
    if (signed.problem === 'not-stamped' || (signed.problem === 'signature-too-large' && isStamped)) return { missed: { what: 'stamp', said } };
    if (signed.problem === 'signature-too-large') throw new Error(said);
    return { missed: { what: 'key', why: 'out-of-reach', said } };
  }
  if (isStamped && !(await isReadBack(signed.signedPdf))) return { missed: { what: 'stamp', said: 'the signature cannot be read back with the stamp that the time-stamp authority gave' } };
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

/** Whether a receiver finds the stamp in the file: one that is written otherwise than DER would spoil the signature for them. */
async function isReadBack(pdf: Uint8Array): Promise<boolean> {
  const check = await checkSignature(pdf);
  return check.found && isSound(check.report) && check.report.timestamp?.ok === true;
}

/** Only a stamp that anybody can trace to a known authority is worth waiting for. */
export async function stampSignature({ timestampAuthority, randomBytes, clock }: Pick<StatementDeps, 'timestampAuthority' | 'randomBytes' | 'clock'>, signature: Uint8Array): Promise<SignatureStamp> {
  const missing = (why: Extract<SignatureStamp, { ok: false }>['why'], detail: string): SignatureStamp => ({ ok: false, problem: 'not-stamped', why, detail });
  if (timestampAuthority === undefined || timestampAuthority.trust.anchors.length === 0) {
    return missing('no-authority', 'TIMESTAMP_AUTHORITY_URL or TIMESTAMP_AUTHORITY_CERTIFICATES is not set');
  }
  const answer = await stamp(timestampAuthority, { data: signature, randomBytes, now: clock.now });
  if (answer.ok) return answer;
  if (answer.problem === 'out-of-reach') return missing('out-of-reach', answer.error instanceof Error ? answer.error.message : String(answer.error));
  return missing(answer.problem, 'what it answered does not hold');
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
