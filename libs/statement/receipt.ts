/**
 * A receipt for keys as a signed PDF: what, from whom, to whom, when, who confirmed it, and the place of the event in the
 * evidence log with a proof that can be checked without the program.
 */
import { drawFooters, drawParagraph, ensureRoom, LEADING, STYLE, startFlow, type Flow, type PageContent } from '#statement/page/flow';
import { uncoveredCharacters } from '#statement/page/fonts';
import { drawProof } from '#statement/page/proof';
import { artifact, COLORS, tagged } from '#statement/page/pen';
import { attachJson, collected, requirePrintable, startPdf } from '#statement/pdf-file';
import { fillByteRange } from '#statement/sign/byte-range';
import { addSignatureField, USUAL_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';
import { receiptWordsOf, type ReceiptWords } from '#statement/words/receipt';

/** One side of the event: who it was, and how they confirmed it. */
export interface ReceiptSide {
  readonly role: 'giver' | 'receiver';
  readonly name: string;
  /** `null`: not confirmed yet. */
  readonly confirmed: { readonly by: string; readonly at: string; readonly how: 'recorded' | 'signed-in' | 'link' | 'signed' } | null;
  /** As the person wrote it; strokes of points from 0 to 1000, y downwards. */
  readonly signature: { readonly name: string; readonly strokes: readonly (readonly number[])[] } | null;
}

export interface ReceiptDocument {
  readonly paper: 'A4' | 'Letter';
  /** In whose language it is written, BCP 47. */
  readonly locale: string;
  readonly operator: { readonly code: string; readonly name: string; readonly lines: readonly string[] };
  readonly eventId: string;
  readonly says: keyof ReceiptWords['says'];
  /** Instants as the operator's clock showed them, with the name of the zone. */
  readonly happenedAt: string;
  readonly recordedAt: string;
  readonly dueBackAt: string | null;
  readonly reason: string;
  /** One line per copy. */
  readonly copies: readonly { readonly number: string; readonly code: string; readonly keyClass: 'access' | 'cash-box' }[];
  readonly sides: readonly ReceiptSide[];
  /** The copies for which a correction took the place of this event. */
  readonly correctedNumbers: readonly string[];
  readonly madeAt: Date;
  readonly evidence: {
    readonly head: { readonly size: number; readonly root: string };
    /** The leaf of the event: place from 0, salt and hash in hex, entry as canonical JSON. */
    readonly leaf: { readonly index: number; readonly salt: string; readonly entry: string; readonly hash: string };
    /** Audit path to the head, RFC 9162 section 2.1.3, in hex. */
    readonly proof: readonly string[];
  };
}

export const RECEIPT_ATTACHMENT_NAME = 'receipt.json';
const SIGNATURE_BOX = { width: 170, height: 68 };
const LABEL_WIDTH = 78;

/** Renders a receipt with an empty signature, ready for `signPdf`. The bytes depend on the document alone. */
export async function renderReceipt(document: ReceiptDocument): Promise<Uint8Array> {
  const { tag, words } = receiptWordsOf(document.locale);
  const content = contentOf(document, words);
  requirePrintable(content);
  const pdf = startPdf({ paper: document.paper, locale: tag, title: `${words.title} ${document.eventId}`, createdAt: document.madeAt });
  const bytes = collected(pdf);
  const root = pdf.struct('Document');
  pdf.addStructure(root);
  const flow = startFlow(pdf, content, root);
  drawTop(flow);
  for (const paragraph of content.paragraphs) drawParagraph(flow, paragraph);
  for (const side of content.sides) {
    drawParagraph(flow, side);
    if (side.strokes.length > 0) drawSignature(flow, side.strokes);
  }
  drawProof(flow);
  root.end();
  drawFooters(flow);
  attachProof(document, pdf);
  pdf.switchToPage(0);
  addSignatureField(pdf, { signedAt: document.madeAt, roomBytes: USUAL_SIGNATURE_ROOM_BYTES });
  pdf.end();
  const unsignedPdf = await bytes;
  fillByteRange(unsignedPdf);
  return unsignedPdf;
}

interface ReceiptContent extends PageContent {
  readonly title: string;
  readonly facts: readonly { readonly label: string; readonly value: string }[];
  readonly paragraphs: readonly { readonly title: string; readonly lines: readonly string[] }[];
  readonly sides: readonly { readonly title: string; readonly lines: readonly string[]; readonly strokes: readonly (readonly number[])[] }[];
}

function contentOf(document: ReceiptDocument, words: ReceiptWords): ReceiptContent {
  const { head, leaf } = document.evidence;
  const corrected = document.correctedNumbers.length === 0 ? [] : [{ title: words.corrected.title, lines: [words.corrected.text(document.correctedNumbers.map(printable).join(', '))] }];
  return {
    title: words.title,
    operator: { name: printable(document.operator.name), lines: document.operator.lines.map(printable) },
    facts: [
      { label: words.what, value: words.says[document.says] },
      { label: words.when, value: document.happenedAt },
      ...(document.dueBackAt === null ? [] : [{ label: words.dueBack, value: document.dueBackAt }]),
      { label: words.recorded, value: document.recordedAt },
    ],
    paragraphs: [
      { title: words.copies(document.copies.length), lines: document.copies.map(({ number, code, keyClass }) => words.copy({ number, code, keyClass: words.classes[keyClass] })) },
      { title: words.reason, lines: [printable(document.reason)] },
      ...corrected,
    ],
    sides: document.sides.map((side) => ({ title: words.sides[side.role], lines: sideLines(side, words), strokes: side.signature?.strokes ?? [] })),
    proof: {
      title: words.proof.title,
      text: words.proof.text({ place: leaf.index + 1, size: head.size }),
      values: [
        { label: words.proof.head, value: head.root },
        { label: words.proof.entry, value: leaf.hash },
      ],
    },
    continued: words.continued(document.eventId),
    page: words.page,
  };
}

function sideLines({ name, confirmed, signature }: ReceiptSide, words: ReceiptWords): string[] {
  const lines = [printable(name), confirmed === null ? words.unconfirmed : words.confirmed[confirmed.how]({ by: printable(confirmed.by), at: confirmed.at })];
  return signature === null ? lines : [...lines, words.signedAs(printable(signature.name))];
}

/** A name that the font has no letters for is the person's own; what is lost on paper is in the books. */
function printable(text: string): string {
  const uncovered = new Set(uncoveredCharacters(text));
  return uncovered.size === 0 ? text : [...text].map((character) => (uncovered.has(character) ? '?' : character)).join('');
}

function drawTop(flow: Flow<ReceiptContent>): void {
  const { pdf, pen, root, content, left, right, width } = flow;
  const top = flow.y;
  flow.y = top + STYLE.title.size * 0.8;
  tagged(pdf, root, 'H1', () => pen.text(content.title, { x: left, y: flow.y, style: STYLE.title }));
  let operatorY = top + STYLE.name.size;
  for (const [index, text] of [content.operator.name, ...content.operator.lines].entries()) {
    const baseline = operatorY;
    tagged(pdf, root, 'P', () => pen.text(text, { x: right, y: baseline, style: index === 0 ? STYLE.name : STYLE.soft, align: 'right' }));
    operatorY += STYLE.soft.size * LEADING + 1;
  }
  flow.y += 12;
  for (const { label, value } of content.facts) {
    flow.y += STYLE.body.size * LEADING + 1;
    const baseline = flow.y;
    tagged(pdf, root, 'P', () => {
      // With a space, or it would be read aloud as one word with the value.
      pen.text(`${label} `, { x: left, y: baseline, style: STYLE.soft });
      pen.text(value, { x: left + LABEL_WIDTH, y: baseline, style: STYLE.strong });
    });
  }
  flow.y = Math.max(flow.y, operatorY) + 10;
  artifact(pdf, 'Layout', () => pen.horizontalRule({ x: left, y: flow.y, width, color: COLORS.rule, thickness: 0.6 }));
}

/** The line above says whose it is; the drawing itself says nothing that could be read aloud. */
function drawSignature(flow: Flow<ReceiptContent>, strokes: readonly (readonly number[])[]): void {
  ensureRoom(flow, SIGNATURE_BOX.height + 10);
  const { pdf, pen, left } = flow;
  const top = flow.y + 6;
  artifact(pdf, 'Layout', () => {
    for (const stroke of strokes) {
      const points = Array.from({ length: Math.floor(stroke.length / 2) }, (_, index) => ({
        x: left + ((stroke[2 * index] ?? 0) * SIGNATURE_BOX.width) / 1000,
        y: top + ((stroke[2 * index + 1] ?? 0) * SIGNATURE_BOX.height) / 1000,
      }));
      pen.stroke(points, { color: COLORS.ink, thickness: 1 });
    }
    pen.horizontalRule({ x: left, y: top + SIGNATURE_BOX.height + 2, width: SIGNATURE_BOX.width, color: COLORS.rule, thickness: 0.6 });
  });
  flow.y = top + SIGNATURE_BOX.height + 4;
}

function attachProof(document: ReceiptDocument, pdf: Parameters<typeof attachJson>[0]): void {
  const { head, leaf, proof } = document.evidence;
  attachJson(pdf, {
    name: RECEIPT_ATTACHMENT_NAME,
    at: document.madeAt,
    value: {
      format: 1,
      kind: 'custody-receipt',
      operatorCode: document.operator.code,
      eventId: document.eventId,
      evidenceHead: { size: head.size, root: head.root },
      leaf: { index: leaf.index, salt: leaf.salt, entry: leaf.entry, hash: leaf.hash },
      inclusionProof: [...proof],
    },
  });
}
