import { createHash } from 'node:crypto';
import { canonicalJson } from '#domain/evidence/canonical-json';

/** What a numbered settlement is, beside its figures: no name, no note, nothing that may have to be erased. */
export type DocumentHead = {
  readonly settlementId: string;
  readonly number: string;
  /** Day of issue by the operator's calendar, ISO 8601. */
  readonly issuedOn: string;
};

/**
 * The canonical settlement document (RFC 8785): what the evidence log and the printed digest stand for, and what is
 * attached to the statement. The two texts are canonical already, so they are put in as they are; the names of the members
 * stand in the order in which RFC 8785 sorts them.
 */
export function settlementDocumentText(document: DocumentHead & { readonly inputsText: string; readonly resultText: string }): string {
  const { settlementId, number, issuedOn, inputsText, resultText } = document;
  const text = canonicalJson;
  return `{"format":1,"inputs":${inputsText},"issuedOn":${text(issuedOn)},"number":${text(number)},"result":${resultText},"settlementId":${text(settlementId)}}`;
}

/** SHA-256 of the document's UTF-8 bytes. */
export function settlementDigest(document: Parameters<typeof settlementDocumentText>[0]): Buffer {
  return createHash('sha256').update(settlementDocumentText(document), 'utf8').digest();
}
