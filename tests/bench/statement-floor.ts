/**
 * The least work that puts the texts of a statement on paper and signs them: pdfkit with the fonts parsed once, every text
 * at a place known beforehand, rules by hand, and one P-256 signature over the bytes. No tags, no PDF/A, no attachment, no
 * certificate, no line breaking, no sums checked. What `renderStatement` and `signStatement` take is measured against it.
 */
import type { Section, StatementContent } from '#statement/page/content';
import { create, type Font } from 'fontkit';
import PDFDocument from 'pdfkit';
import { createHash, sign, type KeyObject } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

const FOLDER = join(dirname(require.resolve('dejavu-fonts-ttf/package.json')), 'ttf');

export interface FloorFonts {
  readonly regular: Font;
  readonly bold: Font;
}

export function floorFonts(): FloorFonts {
  const parse = (name: string): Font => create(readFileSync(join(FOLDER, name)));
  return { regular: parse('DejaVuSansCondensed.ttf'), bold: parse('DejaVuSansCondensed-Bold.ttf') };
}

type Pdf = InstanceType<typeof PDFDocument>;

const [LEFT, RIGHT, BOTTOM, ROW] = [46, 549, 780, 15] as const;
/** Right edges of the columns of amounts, from the last one leftwards. */
const AMOUNT_WIDTH = 52;

/** Draws and signs one statement; the bytes of the PDF and of the signature. */
export async function drawFloor(content: StatementContent, fonts: FloorFonts, key: KeyObject): Promise<{ pdf: Buffer; signature: Buffer }> {
  const pdf = new PDFDocument({ size: 'A4', margin: 0, pdfVersion: '1.7', font: '', info: { CreationDate: new Date(0) } });
  const chunks: Buffer[] = [];
  const done = new Promise<Buffer>((resolve) => {
    pdf.on('data', (chunk: Buffer) => chunks.push(chunk));
    pdf.on('end', () => resolve(Buffer.concat(chunks)));
  });
  pdf.registerFont('regular', fonts.regular as unknown as Buffer);
  pdf.registerFont('bold', fonts.bold as unknown as Buffer);
  drawTop(pdf, content);
  let y = 230;
  for (const section of content.sections) y = drawTable(pdf, section, y);
  pdf.font('regular').fontSize(6.5);
  for (const text of [content.proof.text.slice(0, 130), content.proof.text.slice(130), ...content.proof.values.map(({ label, value }) => `${label} ${value}`)]) {
    pdf.text(text, LEFT, (y += 9), { lineBreak: false });
  }
  pdf.text(content.operator.name, LEFT, 806, { lineBreak: false });
  pdf.text(content.page(1, 1), 500, 806, { lineBreak: false });
  pdf.end();
  const bytes = await done;
  return { pdf: bytes, signature: sign('sha256', createHash('sha256').update(bytes).digest(), key) };
}

function drawTop(pdf: Pdf, content: StatementContent): void {
  const write = (text: string, x: number, y: number): void => {
    pdf.text(text, x, y, { lineBreak: false });
  };
  pdf.font('bold').fontSize(20).fillColor('#1f4e5f');
  write(content.title, LEFT, 44);
  pdf.fontSize(8).fillColor('#1a1d21');
  content.facts.forEach(({ value }, index) => write(value, 112, 80 + index * 12));
  write(content.operator.name, 393, 44);
  write(content.payee.name, LEFT, 150);
  write(content.site.name, 219, 150);
  pdf.rect(393, 140, 156, 52).fill('#eef3f5').fillColor('#1f4e5f').fontSize(18);
  write(content.outcome.amount, 403, 165);
  pdf.font('regular').fontSize(8).fillColor('#59626d');
  content.facts.forEach(({ label }, index) => write(label, LEFT, 80 + index * 12));
  content.operator.lines.forEach((line, index) => write(line, 393, 58 + index * 12));
  content.payee.lines.forEach((line, index) => write(line, LEFT, 164 + index * 12));
  content.site.lines.forEach((line, index) => write(line, 219, 164 + index * 12));
  write(content.outcome.label, 403, 150);
  content.terms?.lines.forEach((line, index) => write(line, LEFT, 205 + index * 12));
}

function drawTable(pdf: Pdf, section: Section, top: number): number {
  let y = top;
  const lefts = section.columns.filter(({ align }) => align === 'left').length;
  const place = (text: string, index: number): void => {
    const fromRight = section.columns.length - 1 - index;
    const x = index < lefts ? LEFT + 22 + index * (lefts === 2 && section.columns.length > 3 ? 60 : 190) : RIGHT - fromRight * AMOUNT_WIDTH - pdf.widthOfString(text);
    pdf.text(text, x, y + 2, { lineBreak: false });
  };
  pdf.font('bold').fontSize(9.5).fillColor('#1f4e5f').text(section.title, LEFT, (y += 12), { lineBreak: false });
  y += ROW;
  pdf.font('regular').fontSize(7).fillColor('#59626d');
  section.columns.forEach(({ title }, index) => place(title, index));
  for (const row of section.rows) {
    y += ROW;
    if (y > BOTTOM) {
      pdf.addPage();
      y = 60;
    }
    pdf.font(row.weight === 'plain' ? 'regular' : 'bold').fontSize(8).fillColor('#1a1d21');
    pdf.text(String(row.line), LEFT, y + 2, { lineBreak: false });
    row.cells.forEach((cell, index) => {
      if (cell !== '') place(cell, index);
    });
    pdf.moveTo(LEFT, y + ROW).lineTo(RIGHT, y + ROW).lineWidth(0.5).strokeColor('#e2e6ea').stroke();
  }
  return y + ROW;
}
