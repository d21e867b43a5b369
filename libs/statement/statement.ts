/** A statement as a signed PDF: rendered once, the same bytes for the same document, then signed. */
import { canonicalBytes } from '#domain/evidence/canonical-json';
import { contradictions } from '#statement/contradictions';
import type { StatementDocument } from '#statement/document';
import { contentOf, type StatementContent } from '#statement/page/content';
import { drawFooters, drawParagraph, drawProof, startFlow } from '#statement/page/flow';
import { uncoveredCharacters } from '#statement/page/fonts';
import { drawMasthead } from '#statement/page/masthead';
import { drawSection } from '#statement/page/table';
import { fillByteRange } from '#statement/sign/byte-range';
import { internalsOf, type Pdf } from '#statement/sign/pdfkit-internals';
import { sha256Hex, signPdf, type SignPdfResult } from '#statement/sign/sign-pdf';
import { addSignatureField, USUAL_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';
import type { Signer } from '#statement/sign/signer';
import PDFDocument from 'pdfkit';

export interface RenderedStatement {
  /** With an empty signature, ready for `signStatement`. */
  readonly unsignedPdf: Buffer;
  /** SHA-256 of it, lower-case hex; also to be had from the signed file. */
  readonly unsignedDigest: string;
}

const PROGRAM_NAME = 'Latchledger';
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
  const pdf = new PDFDocument({
    size: document.paper === 'A4' ? 'A4' : 'LETTER',
    margin: 0,
    pdfVersion: '1.7',
    subset: 'PDF/A-3b',
    tagged: true,
    lang: document.locale,
    displayTitle: true,
    bufferPages: true,
    // No default font: pdfkit would parse the metrics of Helvetica for every document.
    font: '',
    // No names of sites or people here: an Info dictionary travels further than the page.
    info: { Title: `${content.title} ${document.statementNumber}`, Producer: PROGRAM_NAME, Creator: PROGRAM_NAME, CreationDate: issuedAt },
  });
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

/** All that pdfkit writes. It writes a thousand small pieces, which an async iterator would take one by one. */
function collected(pdf: Pdf): Promise<Buffer> {
  const chunks: Buffer[] = [];
  return new Promise((resolve, reject) => {
    pdf.on('data', (chunk: Buffer) => chunks.push(chunk));
    pdf.on('end', () => resolve(Buffer.concat(chunks)));
    pdf.on('error', reject);
  });
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
  const bytes = canonicalBytes({
    format: 1,
    statementNumber: document.statementNumber,
    evidenceHead: { size: document.evidence.headSize, root: document.evidence.headRoot },
    settlementDigest: document.evidence.settlementDigest,
    ...(document.settlement === undefined ? {} : { settlement: document.settlement }),
  });
  internalsOf(pdf).file(bytes, {
    name: ATTACHMENT_NAME,
    type: 'application/json',
    relationship: 'Data',
    creationDate: issuedAt,
    modifiedDate: issuedAt,
  });
}

function requirePrintable(content: StatementContent): void {
  const missing = new Set<string>();
  const visit = (value: unknown): void => {
    if (typeof value === 'string') for (const character of uncoveredCharacters(value)) missing.add(character);
    else if (Array.isArray(value)) value.forEach(visit);
    else if (typeof value === 'object' && value !== null) Object.values(value).forEach(visit);
  };
  visit(content);
  if (missing.size > 0) throw new Error(`no font covers: ${[...missing].join(' ')}`);
}
