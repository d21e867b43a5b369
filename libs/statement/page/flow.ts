/** The page as it fills from top to bottom, with what stands on every page. */
import { artifact, COLORS, penOn, tagged, type Pen, type TextStyle } from '#statement/page/pen';
import type { Paragraph, StatementContent } from '#statement/page/content';
import type { Pdf, Tag } from '#statement/sign/pdfkit-internals';

/** What stands on every page, whatever kind of page it is. */
export type PageContent = Pick<StatementContent, 'operator' | 'continued' | 'page' | 'proof'>;

export interface Flow<Content extends PageContent = StatementContent> {
  readonly pdf: Pdf;
  readonly pen: Pen;
  readonly content: Content;
  readonly root: Tag;
  readonly left: number;
  readonly right: number;
  readonly width: number;
  /** Nothing but the footer stands below. */
  readonly bottom: number;
  /** The next free place from the top. */
  y: number;
  /** Nothing stands on the page yet but its head. */
  isFreshPage: boolean;
  readonly spacing: Spacing;
}

/** How far apart things stand, in points; `leading` in sizes of the font. */
export interface Spacing {
  readonly leading: number;
  /** Above a section, but not at the top of a page. */
  readonly sectionGap: number;
  /** Above and below a row of a table. */
  readonly rowPadding: number;
}

export const STYLE = {
  title: { font: 'bold', size: 20, color: COLORS.accent },
  heading: { font: 'bold', size: 9.5, color: COLORS.accent },
  label: { font: 'regular', size: 7, color: COLORS.soft },
  body: { font: 'regular', size: 8, color: COLORS.ink },
  strong: { font: 'bold', size: 8, color: COLORS.ink },
  terms: { font: 'regular', size: 7.4, color: COLORS.ink },
  soft: { font: 'regular', size: 8, color: COLORS.soft },
  name: { font: 'bold', size: 9.5, color: COLORS.ink },
  amount: { font: 'bold', size: 18, color: COLORS.accent },
  small: { font: 'regular', size: 6.5, color: COLORS.soft },
} as const satisfies Record<string, TextStyle>;

export const LEADING = 1.32;

export const USUAL: Spacing = { leading: LEADING, sectionGap: 11.5, rowPadding: 1.7 };
/** Still easy to read; for what would otherwise leave a page nearly empty. */
export const TIGHT: Spacing = { leading: 1.22, sectionGap: 8, rowPadding: 0.8 };

const MARGIN = { side: 46, top: 40, bottom: 46 } as const;

export function startFlow<Content extends PageContent>(pdf: Pdf, content: Content, root: Tag, spacing: Spacing = USUAL): Flow<Content> {
  const left = MARGIN.side;
  const right = pdf.page.width - MARGIN.side;
  return {
    pdf, pen: penOn(pdf), content, root, left, right, width: right - left,
    bottom: pdf.page.height - MARGIN.bottom,
    y: MARGIN.top,
    isFreshPage: false,
    spacing,
  };
}

/** Goes to a new page, unless this much room is left on this one. */
export function ensureRoom(flow: Flow<PageContent>, height: number): void {
  if (flow.y + height > flow.bottom) turnPage(flow);
}

/** Begins the next page under a line that says whose it is. */
export function turnPage(flow: Flow<PageContent>): void {
  const { pdf, pen, content, left, right, width } = flow;
  pdf.addPage();
  pen.forgetState();
  const baseline = MARGIN.top + 6;
  artifact(pdf, 'Pagination', () => {
    pen.text(content.operator.name, { x: left, y: baseline, style: STYLE.strong });
    pen.text(content.continued, { x: right, y: baseline, style: STYLE.soft, align: 'right' });
    pen.horizontalRule({ x: left, y: baseline + 6, width, color: COLORS.rule, thickness: 0.6 });
  });
  flow.y = baseline + 20;
  flow.isFreshPage = true;
}

/** Begins a section on the next free place. The caller has made room. */
export function beginSection(flow: Flow<PageContent>, title: string): void {
  if (!flow.isFreshPage) flow.y += flow.spacing.sectionGap;
  flow.isFreshPage = false;
  drawHeading(flow, title);
}

function drawHeading(flow: Flow<PageContent>, title: string): void {
  const { pdf, pen, root, left } = flow;
  flow.y += STYLE.heading.size;
  const baseline = flow.y;
  tagged(pdf, root, 'H2', () => pen.text(title, { x: left, y: baseline, style: STYLE.heading }));
  flow.y += 4;
}

/** Text over the full width, broken into lines and, where it must be, pages. */
export function drawText(flow: Flow<PageContent>, text: string, style: TextStyle, width = flow.width): void {
  const lineHeight = style.size * flow.spacing.leading;
  for (const line of flow.pen.wrap(text, style, width)) {
    ensureRoom(flow, lineHeight);
    flow.y += lineHeight;
    const baseline = flow.y;
    tagged(flow.pdf, flow.root, 'P', () => flow.pen.text(line, { x: flow.left, y: baseline, style }));
  }
}

export function drawParagraph(flow: Flow<PageContent>, { title, lines }: Paragraph, style: TextStyle = STYLE.body): void {
  ensureRoom(flow, headingHeight(flow) + style.size * flow.spacing.leading * Math.min(2, lines.length));
  beginSection(flow, title);
  for (const line of lines) drawText(flow, line, style);
}

/** What a heading takes with the gap above it. */
export function headingHeight({ spacing }: Flow<PageContent>): number {
  return spacing.sectionGap + STYLE.heading.size + 4;
}

export function paragraphHeight(flow: Flow<PageContent>, { lines }: Paragraph, style: TextStyle = STYLE.body): number {
  const lineCount = lines.reduce((count, line) => count + flow.pen.wrap(line, style, flow.width).length, 0);
  return headingHeight(flow) + lineCount * style.size * flow.spacing.leading;
}

/** Page numbers come last, when the number of pages is known. */
export function drawFooters(flow: Flow<PageContent>): void {
  const { pdf, pen, content, left, right, width, bottom } = flow;
  const { start, count } = pdf.bufferedPageRange();
  for (let page = 0; page < count; page += 1) {
    pdf.switchToPage(start + page);
    pen.forgetState();
    const baseline = bottom + 18;
    artifact(pdf, 'Pagination', () => {
      pen.horizontalRule({ x: left, y: baseline - 11, width, color: COLORS.rule, thickness: 0.6 });
      pen.text(content.operator.name, { x: left, y: baseline, style: STYLE.label });
      pen.text(content.page(page + 1, count), { x: right, y: baseline, style: STYLE.label, align: 'right' });
    });
  }
}
