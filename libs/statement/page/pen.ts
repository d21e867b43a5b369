/**
 * Drawing on pdfkit's page by baselines and exact positions, in plain content operators (ISO 32000-1 annex A). pdfkit's own
 * text calls lay each text out three times and wrap it in a state of its own; a page took twice as long with them.
 */
import { isFigures, statementFonts } from '#statement/page/fonts';
import { internalsOf, type EmbeddedFont, type Pdf, type Tag } from '#statement/sign/pdfkit-internals';

/** Greys and one accent, dark enough on white for print and for WCAG 2.2 contrast (4.5 to 1). */
export const COLORS = {
  ink: '#1a1d21',
  soft: '#59626d',
  accent: '#1f4e5f',
  rule: '#b9c2cb',
  hairline: '#e2e6ea',
  tint: '#eef3f5',
} as const;

export interface TextStyle {
  readonly font: 'regular' | 'bold';
  readonly size: number;
  readonly color: string;
}

export interface Box {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

export interface Pen {
  width(text: string, style: TextStyle): number;
  /** Breaks a text into lines of at most `width`, between words where it can. At least one line, possibly empty. */
  wrap(text: string, style: TextStyle, width: number): string[];
  /** `x` is the left end, or the right end with `align: 'right'`; `y` is the baseline, from the top of the page. */
  text(text: string, place: { x: number; y: number; style: TextStyle; align?: 'left' | 'right' }): void;
  horizontalRule(rule: { x: number; y: number; width: number; color: string; thickness: number }): void;
  fill(box: Box, color: string): void;
  /** All of one colour as one shape. */
  fillAll(boxes: readonly Box[], color: string): void;
  /** A line through points, with round ends and corners, as a pen draws. */
  stroke(points: readonly { readonly x: number; readonly y: number }[], line: { color: string; thickness: number }): void;
  /** The graphics state begins anew with every page, and drawing on another page must not rely on it. */
  forgetState(): void;
}

export function penOn(pdf: Pdf): Pen {
  const fonts = statementFonts();
  const internals = internalsOf(pdf);
  // pdfkit takes a parsed font at run time, but its types know files and buffers only.
  pdf.registerFont('regular', fonts.regular as unknown as Uint8Array);
  pdf.registerFont('bold', fonts.bold as unknown as Uint8Array);
  const embedded = { regular: embeddedFont(pdf, 'regular'), bold: embeddedFont(pdf, 'bold') };
  // In every file, in one order: so that most files have the same subset of the font, which then is made only once.
  for (const font of Object.values(embedded)) font.encode(EVERYDAY_CHARACTERS);
  let fillColor = '';
  const setFill = (color: string): void => {
    if (color !== fillColor) pdf.addContent(`${colorOperands(color)} rg`);
    fillColor = color;
  };
  const width = (text: string, { font, size }: TextStyle): number => (widthOf(font, text) * size) / 1000;
  return {
    width,
    wrap: (text, style, limit) => wrapWith((part) => width(part, style), text, limit),
    text(text, { x, y, style, align = 'left' }) {
      if (text === '') return;
      const font = embedded[style.font];
      internals.page.fonts[font.id] ??= font.ref();
      setFill(style.color);
      const start = align === 'right' ? x - width(text, style) : x;
      // pdfkit turns the page upside down, so that y grows downwards; letters are turned back.
      pdf.addContent(`BT /${font.id} ${number(style.size)} Tf 1 0 0 -1 ${number(start)} ${number(y)} Tm ${showOperator(font, text)} ET`);
    },
    horizontalRule({ x, y, width: length, color, thickness }) {
      pdf.addContent(`${number(thickness)} w ${colorOperands(color)} RG ${number(x)} ${number(y)} m ${number(x + length)} ${number(y)} l S`);
    },
    fill(box, color) {
      setFill(color);
      pdf.addContent(`${number(box.x)} ${number(box.y)} ${number(box.width)} ${number(box.height)} re f`);
    },
    fillAll(boxes, color) {
      setFill(color);
      pdf.addContent(`${boxes.map((box) => `${number(box.x)} ${number(box.y)} ${number(box.width)} ${number(box.height)} re`).join(' ')} f`);
    },
    stroke(points, { color, thickness }) {
      const path = points.map(({ x, y }, index) => `${number(x)} ${number(y)} ${index === 0 ? 'm' : 'l'}`);
      pdf.addContent(`q 1 J 1 j ${number(thickness)} w ${colorOperands(color)} RG ${path.join(' ')} S Q`);
    },
    forgetState() {
      fillColor = '';
    },
  };
}

const EVERYDAY_CHARACTERS = `${String.fromCharCode(...Array.from({ length: 95 }, (_, index) => 32 + index))}\u2212\u2013\u2019`;

function embeddedFont(pdf: Pdf, name: 'regular' | 'bold'): EmbeddedFont {
  pdf.font(name);
  return internalsOf(pdf)._font;
}

/** Tj, or TJ where letters are kerned. Marks that sit above or below a letter are raised by Ts. */
function showOperator(font: EmbeddedFont, text: string): string {
  const [glyphs, positions] = font.encode(text);
  if (positions.every(({ xAdvance, advanceWidth, xOffset }) => xAdvance === advanceWidth && xOffset === 0)) return `<${glyphs.join('')}> Tj`;
  const parts = positions.map(({ xAdvance, advanceWidth, xOffset }, index) => {
    const before = xOffset === 0 ? '' : `${number(-xOffset)} `;
    const after = advanceWidth + xOffset - xAdvance;
    return `${before}<${glyphs[index] ?? ''}>${after === 0 ? '' : ` ${number(after)}`}`;
  });
  return `[${parts.join('')}] TJ`;
}

/** Widths of words: they are asked for far more often than texts are drawn. */
const widths = { regular: new Map<string, number>(), bold: new Map<string, number>() };
const REMEMBERED_WIDTHS = 5_000;

/** In thousandths of the font's size. */
function widthOf(fontName: 'regular' | 'bold', text: string): number {
  let sum = 0;
  if (isFigures(text)) {
    for (const figure of text) sum += widthOfWord(fontName, figure);
    return sum;
  }
  // Word by word with the space that follows, as pdfkit encodes them: so the sum is what will be drawn.
  for (let start = 0; start < text.length; ) {
    const space = text.indexOf(' ', start);
    const end = space === -1 ? text.length : space + 1;
    sum += widthOfWord(fontName, text.slice(start, end));
    start = end;
  }
  return sum;
}

function widthOfWord(fontName: 'regular' | 'bold', word: string): number {
  const known = widths[fontName];
  let width = known.get(word);
  if (width === undefined) {
    const font = statementFonts()[fontName];
    width = (font.layout(word).advanceWidth * 1000) / font.unitsPerEm;
    if (known.size >= REMEMBERED_WIDTHS) known.clear();
    known.set(word, width);
  }
  return width;
}

/** `#rrggbb` as three numbers from 0 to 1. */
function colorOperands(color: string): string {
  return [1, 3, 5].map((at) => number(parseInt(color.slice(at, at + 2), 16) / 255)).join(' ');
}

/** To a thousandth of a point, which no printer can tell apart. */
function number(value: number): string {
  return String(Math.trunc(value * 1000) / 1000);
}

function wrapWith(widthOf: (text: string) => number, text: string, limit: number): string[] {
  if (widthOf(text) <= limit) return [text];
  const lines: string[] = [];
  let current = '';
  // No line begins with a percent sign, whoever wrote the text and with whichever space.
  for (const word of text.split(/ (?!%)/)) {
    const longer = current === '' ? word : `${current} ${word}`;
    if (widthOf(longer) <= limit) {
      current = longer;
      continue;
    }
    if (current !== '') lines.push(current);
    const pieces = breakWord(widthOf, word, limit);
    lines.push(...pieces.slice(0, -1));
    current = pieces.at(-1) ?? '';
  }
  lines.push(current);
  return lines;
}

/** A word that is longer than a whole line is cut where the line ends. */
function breakWord(widthOf: (text: string) => number, word: string, limit: number): string[] {
  const pieces = [''];
  for (const character of word) {
    const longer = `${pieces.at(-1) ?? ''}${character}`;
    if (longer === character || widthOf(longer) <= limit) pieces[pieces.length - 1] = longer;
    else pieces.push(character);
  }
  return pieces;
}

export type TagType = 'H1' | 'H2' | 'P' | 'Table' | 'TR' | 'TH' | 'TD';

/** Adds an element that holds what `draw` draws. It must stand on one page. */
export function tagged(pdf: Pdf, parent: Tag, type: TagType, draw: () => void, options: { scope?: 'Row' | 'Column' } = {}): void {
  const element = internalsOf(pdf).struct(type, options);
  parent.add(element);
  element.add(draw);
  element.end();
}

/** Adds a picture, for which `alternative` is read aloud. It must stand on one page. */
export function figure(pdf: Pdf, parent: Tag, alternative: string, draw: () => void): void {
  const element = internalsOf(pdf).struct('Figure', { alt: alternative });
  parent.add(element);
  element.add(draw);
  element.end();
}

/** Draws what repeats or decorates: readers for the blind pass over it. */
export function artifact(pdf: Pdf, kind: 'Layout' | 'Pagination', draw: () => void): void {
  pdf.markContent('Artifact', { type: kind });
  draw();
  pdf.endMarkedContent();
}
