/** A statement as a signed PDF: rendered once, then signed. */
import type { StatementDocument } from '#statement/document';
import { renderUnsigned } from '#statement/render';
import { sha256Hex, signPdf, type SignPdfResult } from '#statement/sign/sign-pdf';

export interface RenderedStatement {
  /** With an empty signature, ready for `signStatement`. */
  readonly unsignedPdf: Buffer;
  /** SHA-256 of it, lower-case hex; also to be had from the signed file. */
  readonly unsignedDigest: string;
}

/** Renders the statement (see `renderUnsigned`) and names it by its digest. */
export async function renderStatement(document: StatementDocument, options: { signatureRoomBytes?: number } = {}): Promise<RenderedStatement> {
  const bytes = await renderUnsigned(document, options);
  const unsignedPdf = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  return { unsignedPdf, unsignedDigest: sha256Hex(unsignedPdf) };
}

/** Signs a rendered statement as PAdES B-B, with a time stamp on the signature as B-T. */
export function signStatement(request: Parameters<typeof signPdf>[0]): Promise<SignPdfResult> {
  return signPdf(request);
}
