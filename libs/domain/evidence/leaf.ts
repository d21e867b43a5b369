/**
 * The leaves of an operator's evidence log. The encoding is frozen: a byte more or less changes every later head, so a
 * change of meaning is a new `kind` or a new `format`, and old kinds are never edited.
 *
 *   leaf = salt (16 random bytes) || canonical JSON of the entry (RFC 8785, UTF-8)
 *
 * The salt keeps an outsider who holds a leaf hash from guessing the few digits of an amount or a person until they fit.
 * People and sites appear by id only: names are erased elsewhere without breaking the log.
 */
import { canonicalBytes, parseCanonicalJson, type CanonicalValue } from '#domain/evidence/canonical-json';

export const SALT_BYTES = 16;

/** A settlement got its statement number: from here on its figures are fixed. */
export type SettlementNumbered = {
  readonly format: 1;
  readonly kind: 'settlement-numbered';
  readonly settlementId: string;
  readonly agreementId: string;
  readonly siteId: string;
  readonly statementNumber: string;
  /** First and last day, ISO 8601 dates. */
  readonly periodStart: string;
  readonly periodEnd: string;
  readonly engineVersion: string;
  /** SHA-256 of the settlement's canonical JSON, lower-case hex. */
  readonly settlementDigest: string;
  readonly numberedBy: string;
  /** RFC 3339 with offset. */
  readonly recordedAt: string;
};

/** The settlement's statement was rendered and signed. */
export type StatementIssued = {
  readonly format: 1;
  readonly kind: 'statement-issued';
  readonly settlementId: string;
  readonly statementNumber: string;
  /** SHA-256 of the PDF with an empty signature, and of the signed file; lower-case hex. */
  readonly unsignedDigest: string;
  readonly signedDigest: string;
  /** SHA-256 of the signer's certificate (DER), lower-case hex. */
  readonly certificateFingerprint: string;
  /** RFC 3339 with offset. */
  readonly recordedAt: string;
};

/** Who gives or receives a key. */
export type EntryHolder = { readonly kind: 'person' | 'store' | 'place'; readonly id: string };

/** Something happened to key copies, or was said to have happened otherwise. */
export type CustodyRecorded = {
  readonly format: 1;
  readonly kind: 'custody-recorded';
  readonly eventId: string;
  readonly eventKind: string;
  /** What happened; for a correction what happened instead, `null` for nothing. */
  readonly says: string | null;
  /** RFC 3339 with offset, as all instants here. */
  readonly happenedAt: string;
  readonly recordedAt: string;
  readonly recordedBy: string;
  /** SHA-256 of a salt that is kept outside the log and the reason in UTF-8, lower-case hex: people write names into reasons. */
  readonly reasonDigest: string;
  readonly from: EntryHolder | null;
  readonly to: EntryHolder | null;
  readonly keyRingId: string | null;
  readonly dueBackAt: string | null;
  readonly acknowledgeBy: string | null;
  readonly correctsId: string | null;
  readonly withoutSecondPerson: boolean;
  /** By id. */
  readonly copies: readonly { readonly keyCopyId: string; readonly exceptionId: string | null; readonly breachDueAt: string | null }[];
};

/** One side confirmed that it gave or received. */
export type CustodyAcknowledged = {
  readonly format: 1;
  readonly kind: 'custody-acknowledged';
  readonly eventId: string;
  readonly side: 'giver' | 'receiver';
  readonly personId: string;
  readonly how: string;
  readonly acknowledgedAt: string;
  /** Digest of name and signature where somebody signed; the name itself is erased elsewhere without breaking the log. */
  readonly signatureDigest: string | null;
};

/** An issued settlement was taken back as a whole. Its number and statement stay on record. */
export type SettlementReversed = {
  readonly format: 1;
  readonly kind: 'settlement-reversed';
  readonly reversalId: string;
  readonly settlementId: string;
  readonly statementNumber: string;
  /** Day of the journal entry that takes every posting back, ISO 8601. */
  readonly accountingDate: string;
  /** SHA-256 of the reason in UTF-8, lower-case hex: people write names into reasons. */
  readonly reasonDigest: string;
  readonly reversedBy: string;
  /** RFC 3339 with offset. */
  readonly recordedAt: string;
};

/** A certificate is not to be believed from a time on: recorded, or, where that time lies before its recording, confirmed by a second person. */
export type CertificateRevoked = {
  readonly format: 1;
  readonly kind: 'certificate-revoked';
  readonly revocationId: string;
  readonly step: 'recorded' | 'confirmed';
  /** SHA-256 of the certificate (DER), lower-case hex. */
  readonly certificateFingerprint: string;
  /** RFC 3339 with offset, both. */
  readonly revokedFrom: string;
  readonly recordedAt: string;
  readonly recordedBy: string;
};

/** Somebody's name was taken out of a text, or their signature erased. */
export type TextErased = {
  readonly format: 1;
  readonly kind: 'text-erased';
  readonly erasureId: string;
  readonly personId: string;
  /** Where the text is kept. */
  readonly table: string;
  readonly column: string;
  readonly row: string;
  /** By itself, because the person took part in what the text is about; else because somebody confirmed it. */
  readonly tookPart: boolean;
  /** SHA-256 of a salt that is kept outside the log and the text in UTF-8, lower-case hex; `digestAfter` null where nothing is left. */
  readonly digestBefore: string;
  readonly digestAfter: string | null;
  readonly erasedBy: string;
  /** RFC 3339 with offset. */
  readonly erasedAt: string;
};

export type EvidenceEntry = SettlementNumbered | StatementIssued | CustodyRecorded | CustodyAcknowledged | SettlementReversed | CertificateRevoked | TextErased;

/** A leaf read back. The entry is whatever was stored, older formats included, so its fields are for the caller to check. */
export type DecodedLeaf =
  | { readonly ok: true; readonly salt: Uint8Array; readonly entry: CanonicalValue }
  | { readonly ok: false; readonly problem: 'leaf-too-short' | 'leaf-not-utf8' | 'leaf-not-canonical' };

/** The bytes to store and to hash with `leafHash`. Throws when the salt has not 16 bytes: that is a bug, not bad input. */
export function encodeLeaf(leaf: { salt: Uint8Array; entry: EvidenceEntry }): Uint8Array {
  if (leaf.salt.length !== SALT_BYTES) throw new Error(`a salt has ${SALT_BYTES} bytes, not ${leaf.salt.length}`);
  const entryBytes = canonicalBytes(leaf.entry);
  const bytes = new Uint8Array(SALT_BYTES + entryBytes.length);
  bytes.set(leaf.salt);
  bytes.set(entryBytes, SALT_BYTES);
  return bytes;
}

/** Takes stored bytes apart and insists that they are canonical, so that one entry cannot hide behind two leaves. */
export function decodeLeaf(bytes: Uint8Array): DecodedLeaf {
  if (bytes.length <= SALT_BYTES) return { ok: false, problem: 'leaf-too-short' };
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes.subarray(SALT_BYTES));
  } catch {
    return { ok: false, problem: 'leaf-not-utf8' };
  }
  try {
    return { ok: true, salt: new Uint8Array(bytes.subarray(0, SALT_BYTES)), entry: parseCanonicalJson(text) };
  } catch {
    return { ok: false, problem: 'leaf-not-canonical' };
  }
}
