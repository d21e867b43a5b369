/** A statement's page as an unsigned PDF: the same bytes for the same document. Runs in Node and in the browser. */
import { UNSTAMPED_ATTACHMENT_FORMAT } from '#contracts/statement-attachment';
import { contradictions } from '#statement/contradictions';
import type { StatementDocument } from '#statement/document';
import { contentOf, type StatementContent } from '#statement/page/content';
import { chartHeight, drawChart } from '#statement/page/chart';
import { drawFooters, drawParagraph, ensureRoom, paragraphHeight, startFlow, TIGHT, USUAL, type Flow, type Spacing } from '#statement/page/flow';
import { drawMasthead } from '#statement/page/masthead';
import { drawProof, proofHeight } from '#statement/page/proof';
import { drawSection, layOutSection } from '#statement/page/table';
import { attachJson, collected, requirePrintable, startPdf } from '#statement/pdf-file';
import { fillByteRange } from '#statement/sign/byte-range';
import type { Pdf } from '#statement/sign/pdfkit-internals';
import { languageOf } from '#statement/words/languages';
import { addSignatureField, USUAL_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';

const ATTACHMENT_NAME = 'statement.json';

/**
 * Renders the statement: PDF 1.7, tagged, with the structure of PDF/A-3b, the figures for machines attached, the signature
 * empty. The bytes depend on the document alone. Throws when the document does not add up or has letters that no font
 * covers: both must have been refused long before.
 */
export async function renderUnsigned(document: StatementDocument, options: { signatureRoomBytes?: number } = {}): Promise<Uint8Array> {
  const wrong = contradictions(document);
  if (wrong.length > 0) throw new Error(`the statement does not add up: ${wrong.join('; ')}`);
  // Metadata is not escaped by pdfkit, so what goes there must not need it.
  if (!/^[0-9A-Za-z./-]+$/.test(document.statementNumber)) throw new Error(`unfit statement number ${document.statementNumber}`);
  const content = contentOf(document);
  requirePrintable(content);

  const issuedAt = new Date(document.issuedAt);
  const start = (): Pdf =>
    startPdf({ paper: document.paper, locale: languageOf(document.locale).tag, title: `${content.title} ${document.statementNumber}`, createdAt: issuedAt });
  const pdf = wellFilled(start, content);
  const bytes = collected(pdf);
  attachFigures(pdf, document, issuedAt);
  pdf.switchToPage(0);
  addSignatureField(pdf, { signedAt: issuedAt, roomBytes: options.signatureRoomBytes ?? USUAL_SIGNATURE_ROOM_BYTES });
  pdf.end();
  const unsignedPdf = await bytes;
  fillByteRange(unsignedPdf);
  return unsignedPdf;
}

/** Less on the last page than this part of it, and the pages are set closer, if that saves one. */
const NEARLY_EMPTY = 0.4;

/** Pages as they are usually set, unless that leaves the last one nearly empty. */
function wellFilled(start: () => Pdf, content: StatementContent): Pdf {
  const usual = drawn(start(), content, USUAL);
  if (usual.pageCount === 1 || usual.lastPageFilled >= NEARLY_EMPTY) return usual.pdf;
  const tight = drawn(start(), content, TIGHT);
  return tight.pageCount < usual.pageCount ? tight.pdf : usual.pdf;
}

interface Drawn {
  readonly pdf: Pdf;
  readonly pageCount: number;
  /** From 0 to 1. */
  readonly lastPageFilled: number;
}

function drawn(pdf: Pdf, content: StatementContent, spacing: Spacing): Drawn {
  const root = pdf.struct('Document');
  pdf.addStructure(root);
  const flow = startFlow(pdf, content, root, spacing);
  drawMasthead(flow);
  for (const section of content.sections.slice(0, -1)) drawSection(flow, layOutSection(flow, section));
  drawEnd(flow);
  root.end();
  const lastPageFilled = flow.y / flow.bottom;
  drawFooters(flow);
  return { pdf, pageCount: pdf.bufferedPageRange().count, lastPageFilled };
}

/**
 * What is paid, the notes and the proof: together, where a page has room for them, so that none stands on the last page alone.
 * With a chart the rest is enough to stand by itself, and what is paid stays with what it comes from.
 */
function drawEnd(flow: Flow): void {
  const { sections, notes, chart } = flow.content;
  const paid = sections.slice(-1).map((section) => layOutSection(flow, section));
  const restHeight = chartHeight(flow, chart) + sumOf(notes.map((note) => paragraphHeight(flow, note))) + proofHeight(flow);
  if (chart === undefined) keepTogether(flow, restHeight + sumOf(paid.map(({ height }) => height)));
  for (const section of paid) drawSection(flow, section);
  if (chart !== undefined) {
    keepTogether(flow, restHeight);
    ensureRoom(flow, chartHeight(flow, chart));
    drawChart(flow, chart);
  }
  for (const note of notes) drawParagraph(flow, note);
  drawProof(flow);
}

function keepTogether(flow: Flow, height: number): void {
  if (height <= flow.bottom / 2) ensureRoom(flow, height);
}

function sumOf(heights: readonly number[]): number {
  return heights.reduce((total, height) => total + height, 0);
}

/** The head and the digest as printed, and what the figures and the page are made of, as one canonical JSON file. */
function attachFigures(pdf: Pdf, document: StatementDocument, issuedAt: Date): void {
  attachJson(pdf, {
    name: ATTACHMENT_NAME,
    at: issuedAt,
    value: {
      format: UNSTAMPED_ATTACHMENT_FORMAT,
      statementNumber: document.statementNumber,
      evidenceHead: { size: document.evidence.headSize, root: document.evidence.headRoot },
      settlementDigest: document.evidence.settlementDigest,
      ...document.attached,
    },
  });
}
