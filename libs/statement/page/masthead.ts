/** The top of the first page: who, for whom, which period, and what comes out of it. */
import { artifact, COLORS, tagged, type TagType, type TextStyle } from '#statement/page/pen';
import type { Paragraph } from '#statement/page/content';
import { beginSection, drawParagraph, headingHeight, LEADING, STYLE, type Flow } from '#statement/page/flow';

interface Line {
  readonly text: string;
  readonly style: TextStyle;
}

/** Room for the labels of the facts; more where one of a language needs it. */
const FACT_LABEL_WIDTH = 66;
const COLUMN_GAP = 18;

export function drawMasthead(flow: Flow): void {
  const { pdf, pen, left, width, content } = flow;
  const column = (width - 2 * COLUMN_GAP) / 3;
  const [first, second, third] = [left, left + column + COLUMN_GAP, left + 2 * (column + COLUMN_GAP)];
  const top = flow.y;

  flow.y = top + STYLE.title.size * 0.8;
  tagged(pdf, flow.root, 'H1', () => pen.text(content.title, { x: left, y: flow.y, style: STYLE.title }));
  flow.y += 10;
  const labelWidth = Math.max(FACT_LABEL_WIDTH, ...content.facts.map((fact) => pen.width(fact.label, STYLE.soft) + 10));
  for (const { label, value } of content.facts) {
    flow.y += STYLE.body.size * LEADING + 1;
    tagged(pdf, flow.root, 'P', () => {
      // With a space, or it would be read aloud as one word with the value.
      pen.text(`${label} `, { x: left, y: flow.y, style: STYLE.soft });
      pen.text(value, { x: left + labelWidth, y: flow.y, style: STYLE.strong });
    });
  }
  const factsEnd = flow.y;
  const operatorEnd = drawLines(flow, { x: third, top: top - 2, width: column }, [
    { text: content.operator.name, style: STYLE.name },
    ...content.operator.lines.map((text) => ({ text, style: STYLE.soft })),
  ]);

  const partiesTop = Math.max(factsEnd, operatorEnd) + 16;
  artifact(pdf, 'Layout', () => pen.horizontalRule({ x: left, y: partiesTop - 8, width, color: COLORS.rule, thickness: 0.6 }));
  const ends = [
    drawParty(flow, { x: first, top: partiesTop, width: column }, content.payee),
    drawParty(flow, { x: second, top: partiesTop, width: column }, content.site),
    drawOutcome(flow, { x: third, top: partiesTop, width: column }),
  ];
  flow.y = Math.max(...ends) + 2;
  if (content.terms !== undefined) drawTerms(flow, content.terms);
}

/** Set wide, so small a text loses its reader at the end of each line: more than a few lines stand in two columns. */
function drawTerms(flow: Flow, terms: Paragraph): void {
  const { pdf, pen, root, left, width } = flow;
  const columnWidth = (width - COLUMN_GAP) / 2;
  const lines = terms.lines.flatMap((text) => pen.wrap(text, STYLE.terms, columnWidth));
  const rows = Math.ceil(lines.length / 2);
  const lineHeight = STYLE.terms.size * flow.spacing.leading;
  if (lines.length <= 4 || flow.y + headingHeight(flow) + rows * lineHeight > flow.bottom) return drawParagraph(flow, terms, STYLE.terms);
  beginSection(flow, terms.title);
  lines.forEach((line, index) => {
    const isFirst = index < rows;
    const baseline = flow.y + lineHeight * ((isFirst ? index : index - rows) + 1);
    tagged(pdf, root, 'P', () => pen.text(line, { x: isFirst ? left : left + columnWidth + COLUMN_GAP, y: baseline, style: STYLE.terms }));
  });
  flow.y += rows * lineHeight;
}

interface ColumnPlace {
  readonly x: number;
  readonly top: number;
  readonly width: number;
}

function drawParty(flow: Flow, place: ColumnPlace, party: { label: string; name: string; lines: readonly string[] }): number {
  return drawLines(flow, place, [
    { text: party.label, style: STYLE.label },
    { text: party.name, style: STYLE.name },
    ...party.lines.map((text) => ({ text, style: STYLE.soft })),
  ]);
}

/** The one figure that everybody looks for first. */
function drawOutcome(flow: Flow, place: ColumnPlace): number {
  const { pdf, pen, root, content } = flow;
  const { label, amount, currency, also } = content.outcome;
  const inset = 10;
  const x = place.x + inset;
  const room = place.width - 2 * inset;
  const alsoLines = also.flatMap((text) => pen.wrap(text, STYLE.label, room));
  const height = 46 + (alsoLines.length === 0 ? 0 : 3 + alsoLines.length * STYLE.label.size * LEADING);
  artifact(pdf, 'Layout', () => {
    pen.fill({ x: place.x, y: place.top, width: place.width, height }, COLORS.tint);
    pen.fill({ x: place.x, y: place.top, width: 2.5, height }, COLORS.accent);
  });
  const labelBaseline = place.top + 14;
  tagged(pdf, root, 'P', () => pen.text(label, { x, y: labelBaseline, style: STYLE.soft }));
  const currencyWidth = pen.width(` ${currency}`, STYLE.name);
  const style = fitting(flow, amount, STYLE.amount, room - currencyWidth);
  const amountBaseline = labelBaseline + 21;
  tagged(pdf, root, 'P', () => {
    pen.text(amount, { x, y: amountBaseline, style });
    pen.text(` ${currency}`, { x: x + pen.width(amount, style), y: amountBaseline, style: { ...STYLE.name, color: COLORS.accent } });
  });
  alsoLines.forEach((line, index) => {
    const baseline = amountBaseline + 13 + index * STYLE.label.size * LEADING;
    tagged(pdf, root, 'P', () => pen.text(line, { x, y: baseline, style: STYLE.label }));
  });
  return place.top + height;
}

/** The style, smaller if the text would not fit otherwise. */
function fitting(flow: Flow, text: string, style: TextStyle, width: number): TextStyle {
  const needed = flow.pen.width(text, style);
  return needed <= width ? style : { ...style, size: (style.size * width) / needed };
}

/** Lines one under another in a column, long ones broken. Returns where they end. */
function drawLines(flow: Flow, place: ColumnPlace, lines: readonly Line[], type: TagType = 'P'): number {
  const { pdf, pen, root } = flow;
  let y = place.top;
  for (const { text, style } of lines) {
    for (const part of pen.wrap(text, style, place.width)) {
      y += style.size * LEADING;
      const baseline = y;
      tagged(pdf, root, type, () => pen.text(part, { x: place.x, y: baseline, style }));
    }
  }
  return y;
}
