/** A statement as a signed PDF: rendered once, the same bytes for the same document, then signed. */
import { contradictions } from '#statement/contradictions';
import type { StatementDocument } from '#statement/document';
import { contentOf, type StatementContent } from '#statement/page/content';
import { drawFooters, drawParagraph, drawProof, startFlow } from '#statement/page/flow';
import { drawMasthead } from '#statement/page/masthead';
import { drawSection } from '#statement/page/table';
import { attachJson, collected, requirePrintable, startPdf } from '#statement/pdf-file';
import { fillByteRange } from '#statement/sign/byte-range';
import type { Pdf } from '#statement/sign/pdfkit-internals';
import { sha256Hex, signPdf, type SignPdfResult } from '#statement/sign/sign-pdf';
import { addSignatureField, USUAL_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';
import type { Signer } from '#statement/sign/signer';

export interface RenderedStatement {
  /** With an empty signature, ready for `signStatement`. */
  readonly unsignedPdf: Buffer;
  /** SHA-256 of it, lower-case hex; also to be had from the signed file. */
  readonly unsignedDigest: string;
}

export const ATTACHMENT_NAME = 'statement.json';

/**
 * Renders the statement: PDF 1.7, tagged, with the structure of PDF/A-3b, the figures for machines attached. The bytes
 * depend on the document alone. Throws when the document does not add up or has letters that no font covers: both must
 * have been refused long before.
 */
export async function renderStatement(
  document: StatementDocument,
  options: { signatureRoomBytes?: number } = {},
): Promise<RenderedStatement> {
  const wrong = contradictions(document);
  if (wrong.length > 0) throw new Error(`the statement does not add up: ${wrong.join('; ')}`);
  // Metadata is not escaped by pdfkit, so what goes there must not need it.
  if (!/^[0-9A-Za-z./-]+$/.test(document.statementNumber)) throw new Error(`unfit statement number ${document.statementNumber}`);
  const content = contentOf(document);
  requirePrintable(content);

  const issuedAt = new Date(document.issuedAt);
  const pdf = startPdf({ paper: document.paper, locale: document.locale, title: `${content.title} ${document.statementNumber}`, createdAt: issuedAt });
  const bytes = collected(pdf);
  drawPages(pdf, content);
  attachFigures(pdf, document, issuedAt);
  pdf.switchToPage(0);
  addSignatureField(pdf, { signedAt: issuedAt, roomBytes: options.signatureRoomBytes ?? USUAL_SIGNATURE_ROOM_BYTES });
  pdf.end();
  const unsignedPdf = await bytes;
  fillByteRange(unsignedPdf);
  return { unsignedPdf, unsignedDigest: sha256Hex(unsignedPdf) };
}

/** Signs a rendered statement as PAdES B-B. */
export function signStatement(request: { unsignedPdf: Uint8Array; signer: Signer }): Promise<SignPdfResult> {
  return signPdf(request);
}

function drawPages(pdf: Pdf, content: StatementContent): void {
  const root = pdf.struct('Document');
  pdf.addStructure(root);
  const flow = startFlow(pdf, content, root);
  drawMasthead(flow);
  for (const section of content.sections) drawSection(flow, section);
  for (const note of content.notes) drawParagraph(flow, note);
  drawProof(flow);
  root.end();
  drawFooters(flow);
}

/** The head and the digest as printed, and the settlement behind the figures, as one canonical JSON file. */
function attachFigures(pdf: Pdf, document: StatementDocument, issuedAt: Date): void {
  attachJson(pdf, {
    name: ATTACHMENT_NAME,
    at: issuedAt,
    value: {
      format: 1,
      statementNumber: document.statementNumber,
      evidenceHead: { size: document.evidence.headSize, root: document.evidence.headRoot },
      settlementDigest: document.evidence.settlementDigest,
      ...(document.settlement === undefined ? {} : { settlement: document.settlement }),
    },
  });
}
