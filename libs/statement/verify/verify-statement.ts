/**
 * Whether a statement is what it says, found out from the file alone: who signed it, whether anything was changed since,
 * whether its figures follow from what is attached to it, and whether the page says these figures and nothing else. Runs in
 * Node and in the browser and sends nothing anywhere. Whose the certificate is, the receiver compares with what was given
 * to them in print; whether the statement was reversed since, only the operator can say.
 */
import { NEWEST_ATTACHMENT_FORMAT, statementAttachmentSchema, type StatementAttachment } from '#contracts/statement-attachment';
import { encodeResult } from '#contracts/settlement-document';
import { canonicalBytes, canonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';
import { verifyConsistency } from '#domain/evidence/proof';
import type { TreeHead } from '#domain/evidence/merkle';
import { engineOf } from '#domain/settlement/engines';
import type { SettlementResult } from '#domain/settlement/types';
import { attachedJson } from '#statement/attached-figures';
import { canBeSet, factsOfAttachment } from '#statement/attached-page';
import type { StatementDocument } from '#statement/document';
import { statementFromSettlement } from '#statement/from-settlement';
import { renderUnsigned } from '#statement/render';
import { locateSignature, textOf } from '#statement/sign/byte-range';
import { checkSignature, type SignatureCheck, type SignatureProblem, type SignatureReport } from '#statement/sign/check-signature';
import { STAMP_TOLERANCE_MS, type Timestamp, type TimestampProblem, type TimestampTrust } from '#statement/sign/timestamp';
import { differingLines } from '#statement/verify/differing-lines';
import { differenceOf, type PdfDifference } from '#statement/verify/pdf-objects';
import { standingQuestion } from '#statement/verify/standing-question';
import { sha256 } from '@noble/hashes/sha2';
import { bytesToHex, hexToBytes } from '@noble/hashes/utils';

/** What is checked, in this order. */
export type CheckName = 'signature' | 'whole-file' | 'time-stamp' | 'attachment' | 'digest' | 'figures' | 'page' | 'earlier-head';

export type Finding =
  | { readonly check: Exclude<CheckName, 'time-stamp'>; readonly holds: true }
  | { readonly check: 'time-stamp'; readonly holds: true; readonly timestamp: Timestamp }
  /** `unknown`: it cannot be told by this verifier, which says nothing against the statement. */
  | { readonly check: CheckName; readonly holds: false | 'unknown'; readonly why: Why };

export type Why =
  | { readonly code: 'no-signature'; readonly problem: SignatureProblem }
  | { readonly code: 'signature-does-not-hold' | 'certificate-not-bound' | 'certificate-not-valid-then' | 'bytes-outside-the-signature' }
  | { readonly code: 'stamp-missing' | 'stamp-not-announced' | 'stamp-of-another-signature' | 'stamp-does-not-hold' | 'stamp-not-trusted' | 'stamp-before-issue' | 'stamp-before-certificate' | 'stamp-after-certificate' }
  | { readonly code: 'nothing-attached' | 'of-another-kind' | 'newer-format' | 'not-our-attachment' | 'other-number' | 'other-names' | 'other-digest' | 'cannot-be-computed' | 'cannot-be-set' | 'proof-does-not-hold' | 'attachment-needed' }
  | { readonly code: 'engine-unknown'; readonly version: number }
  | { readonly code: 'page-unknown'; readonly version: number }
  /** `lines` as the page calls them; none where only what it does not show differs. */
  | { readonly code: 'figures-differ'; readonly lines: readonly string[] }
  | { readonly code: 'page-differs'; readonly difference: PdfDifference };

/** What the file says, once enough of it can be read; to be believed only as far as the findings hold. */
export interface VerifiedStatement {
  readonly number: string;
  /** Whose log it is of; absent where the file is from before statements said so. */
  readonly operatorId: string | undefined;
  readonly settlementDigest: string;
  /** By what the operator is asked whether it was reversed since; absent where the file gives none. */
  readonly standingQuestion: string | undefined;
  readonly document: StatementDocument;
  readonly head: TreeHead;
  readonly earlierHead: (TreeHead & { readonly statementNumber: string; readonly proof: readonly Uint8Array[] }) | undefined;
}

export interface Verdict {
  readonly findings: readonly Finding[];
  readonly signature: SignatureReport | undefined;
  readonly statement: VerifiedStatement | undefined;
}

/** Larger than any statement: a phone should not try. */
export const LARGEST_STATEMENT_BYTES = 20_000_000;

/** Whether a file is a PDF at all: readers look for the head in its first 1,024 bytes (ISO 32000-1 annex H.3, note 13, from memory). */
export function isPdf(bytes: Uint8Array): boolean {
  return textOf(bytes.subarray(0, 1024)).includes('%PDF-');
}

/** Whether every check was made and holds. */
export function holdsWhole({ findings }: Verdict): boolean {
  return findings.every(({ holds }) => holds === true);
}

/** With `trust` a time stamp has to be of an authority that is relied on; without, whose it is stays what the authority calls itself. */
export async function verifyStatement(pdf: Uint8Array, { trust }: { readonly trust?: TimestampTrust } = {}): Promise<Verdict> {
  const checked = await checkSignature(pdf, trust === undefined ? {} : { trust });
  const report = checked.found ? checked.report : undefined;
  const read = readAttachment(await attachedJson(pdf));
  const opened = read.attachment === undefined ? undefined : openedOf(read.attachment, read.raw, read.attachment.settlement.result);
  const earlier = read.attachment === undefined ? undefined : headsOf(read.attachment);
  return {
    signature: report,
    statement: read.attachment === undefined || opened?.document === undefined || earlier === undefined
      ? undefined
      : { number: read.attachment.statementNumber, operatorId: read.attachment.page.standing?.operatorId, settlementDigest: read.attachment.settlementDigest, standingQuestion: standingQuestion(read.attachment), document: opened.document, ...earlier },
    findings: [
      finding('signature', checked.found ? whyNotSigned(checked.report, read.attachment?.page.issuedAt) : { code: 'no-signature', problem: checked.problem }),
      wholeFileFinding(checked),
      ...stampFindings(report, read.attachment),
      finding('attachment', read.why, read.why?.code === 'of-another-kind' || read.why?.code === 'newer-format'),
      ...(read.attachment === undefined
        ? (['digest', 'figures', 'page', 'earlier-head'] as const).map((check) => finding(check, { code: 'attachment-needed' }, true))
        : [
            finding('digest', whyNotDigest(read.attachment, read.raw)),
            figuresFinding(read.attachment, read.raw),
            await pageFinding(pdf, read.attachment, opened?.document),
            finding('earlier-head', earlier !== undefined && extendsEarlier(earlier) ? undefined : { code: 'proof-does-not-hold' }),
          ]),
    ],
  };
}

function finding(check: Exclude<CheckName, 'time-stamp'>, why: Why | undefined, isUnknown = false): Finding {
  return why === undefined ? { check, holds: true } : { check, holds: isUnknown ? 'unknown' : false, why };
}

/** Of several signatures the first cannot cover what came with the others. */
function wholeFileFinding(checked: SignatureCheck): Finding {
  if (checked.found) return finding('whole-file', checked.report.coversWholeFile ? undefined : { code: 'bytes-outside-the-signature' });
  return checked.problem === 'several-signatures' ? finding('whole-file', { code: 'bytes-outside-the-signature' }) : finding('whole-file', { code: 'attachment-needed' }, true);
}

/**
 * The time of issue is what the signer claims; a certificate that had run out by then is none even so (RFC 5280 section 4.1.2.5). One that began after it may be sound:
 * a statement is signed after it was issued, days later where its key could not be reached. When it was signed only a stamp proves, and that is held against both ends.
 */
function whyNotSigned({ signatureValid, bindsCertificate, validTo }: SignatureReport, issuedAt: string | undefined): Why | undefined {
  if (!signatureValid) return { code: 'signature-does-not-hold' };
  if (!bindsCertificate) return { code: 'certificate-not-bound' };
  const at = issuedAt === undefined ? undefined : new Date(issuedAt);
  return at === undefined || at <= validTo ? undefined : { code: 'certificate-not-valid-then' };
}

/** Nothing where the file says that there is no stamp, and there is none. What is not ours says nothing about it. */
function stampFindings(report: SignatureReport | undefined, attachment: StatementAttachment | undefined): Finding[] {
  const stamped = report?.timestamp;
  if (stamped === undefined && attachment?.isStamped === undefined) return [];
  const why = whyNotStamped(report, attachment);
  if (why === undefined && stamped?.ok === true) return [{ check: 'time-stamp', holds: true, timestamp: stamped.timestamp }];
  return [{ check: 'time-stamp', holds: false, why: why ?? { code: 'stamp-does-not-hold' } }];
}

function whyNotStamped(report: SignatureReport | undefined, attachment: StatementAttachment | undefined): Why | undefined {
  const stamped = report?.timestamp;
  if (stamped === undefined) return { code: 'stamp-missing' };
  if (!stamped.ok) {
    const codes: { readonly [problem in TimestampProblem]?: Extract<Why['code'], `stamp-${string}`> } = { 'other-data': 'stamp-of-another-signature', 'chain-not-trusted': 'stamp-not-trusted', 'other-policy': 'stamp-not-trusted' };
    return { code: codes[stamped.problem] ?? 'stamp-does-not-hold' };
  }
  if (attachment === undefined) return undefined;
  if (attachment.isStamped === undefined) return { code: 'stamp-not-announced' };
  const { stampedAt } = stamped.timestamp;
  // A signature cannot have been there before the statement was numbered; their clocks may lie apart.
  if (stampedAt.getTime() < new Date(attachment.page.issuedAt).getTime() - STAMP_TOLERANCE_MS) return { code: 'stamp-before-issue' };
  if (report === undefined) return undefined;
  if (stampedAt < report.validFrom) return { code: 'stamp-before-certificate' };
  return stampedAt > report.validTo ? { code: 'stamp-after-certificate' } : undefined;
}

type Raw = { readonly settlement: CanonicalValue };
type Read = { readonly why: Why; readonly attachment?: undefined } | { readonly why: undefined; readonly attachment: StatementAttachment; readonly raw: Raw };

function readAttachment(value: unknown): Read {
  if (value === undefined) return { why: { code: 'nothing-attached' } };
  const parsed = isCanonical(value) ? statementAttachmentSchema.safeParse(value) : { success: false as const };
  if (parsed.success) return { why: undefined, attachment: parsed.data, raw: value as Raw };
  return { why: { code: isOfAnotherKind(value) ? 'of-another-kind' : isNewer(value) ? 'newer-format' : 'not-our-attachment' } };
}

/** A receipt for keys, or a statement from before everything was attached: signed by the same hands, with nothing to compute. */
function isOfAnotherKind(value: unknown): boolean {
  if (typeof value !== 'object' || value === null) return false;
  return ('kind' in value && value.kind === 'custody-receipt') || ('format' in value && value.format === 1);
}

/** From after this verifier: what it may hold, only a newer one knows. */
function isNewer(value: unknown): boolean {
  return typeof value === 'object' && value !== null && 'format' in value && Number.isSafeInteger(value.format) && Number(value.format) > NEWEST_ATTACHMENT_FORMAT;
}

/** Text with half a character, for one, has no canonical form, and so no digest. */
function isCanonical(value: unknown): boolean {
  try {
    canonicalBytes(value as CanonicalValue);
    return true;
  } catch {
    return false;
  }
}

/** The document as it follows from the attachment; what cannot be put together is for the finding about the page to say. */
function openedOf(attachment: StatementAttachment, raw: Raw, result: SettlementResult): { readonly document: StatementDocument } | undefined {
  try {
    return { document: statementFromSettlement({ inputs: attachment.settlement.inputs, result }, factsOfAttachment(attachment, raw)) };
  } catch {
    return undefined;
  }
}

function whyNotDigest({ statementNumber, settlement, settlementDigest, page }: StatementAttachment, raw: Raw): Why | undefined {
  if (settlement.number !== statementNumber) return { code: 'other-number' };
  if (!areNamesBound(page, settlement.result)) return { code: 'other-names' };
  return bytesToHex(sha256(canonicalBytes(raw.settlement))) === settlementDigest ? undefined : { code: 'other-digest' };
}

/** Whether the names in the shares are those at the head of the page: swapped, they would give each the other's share. */
function areNamesBound(page: StatementAttachment['page'], { parties }: SettlementResult): boolean {
  const operator = parties.find(({ role }) => role === 'operator')?.party;
  const nameOf = (party: string | undefined): string | undefined => (party === undefined ? undefined : page.partyNames[party]);
  return nameOf(page.payee.partyId) === page.payee.name && nameOf(operator) === page.operator.name;
}

/** Computes the settlement from its inputs, by the rules that it names, and compares every member of the result. */
function figuresFinding(attachment: StatementAttachment, raw: Raw): Finding {
  const { inputs, result } = attachment.settlement;
  const engine = engineOf(result.engineVersion);
  if (engine === undefined) return finding('figures', { code: 'engine-unknown', version: result.engineVersion }, true);
  let computed: SettlementResult;
  try {
    // As it was stored: explanations follow from the inputs and are not kept.
    computed = engine(inputs, { explain: false });
  } catch {
    return finding('figures', { code: 'cannot-be-computed' });
  }
  const [ours, theirs] = [encodeResult(computed), encodeResult(result)];
  if (canonicalJson(ours) === canonicalJson(theirs)) return finding('figures', undefined);
  const [attached, again] = [openedOf(attachment, raw, result), openedOf(attachment, raw, computed)];
  const lines = attached === undefined || again === undefined ? [] : differingLines({ attached: attached.document, computed: again.document });
  return finding('figures', { code: 'figures-differ', lines });
}

async function pageFinding(pdf: Uint8Array, { page }: StatementAttachment, document: StatementDocument | undefined): Promise<Finding> {
  if (!canBeSet(page.version)) return finding('page', { code: 'page-unknown', version: page.version }, true);
  const located = locateSignature(pdf);
  if (document === undefined) return finding('page', { code: 'cannot-be-set' });
  try {
    const signatureRoomBytes = located.ok ? (located.hole.end - located.hole.start - 2) / 2 : undefined;
    const made = await renderUnsigned(document, signatureRoomBytes === undefined ? {} : { signatureRoomBytes });
    const difference = await differenceOf({ found: pdf, made });
    return finding('page', difference === undefined ? undefined : { code: 'page-differs', difference });
  } catch {
    return finding('page', { code: 'cannot-be-set' });
  }
}

function headsOf({ evidenceHead, earlierHead }: StatementAttachment): Pick<VerifiedStatement, 'head' | 'earlierHead'> {
  return {
    head: { size: evidenceHead.size, root: hexToBytes(evidenceHead.root) },
    earlierHead: earlierHead === null ? undefined : { statementNumber: earlierHead.statementNumber, size: earlierHead.size, root: hexToBytes(earlierHead.root), proof: earlierHead.proof.map(hexToBytes) },
  };
}

function extendsEarlier({ head, earlierHead }: Pick<VerifiedStatement, 'head' | 'earlierHead'>): boolean {
  return earlierHead === undefined || verifyConsistency({ older: earlierHead, newer: head, proof: earlierHead.proof });
}
