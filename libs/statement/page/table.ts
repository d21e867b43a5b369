/** Tables of figures: heads repeated on every page, totals carried over the break, rows never split. */
import type { Column, Row, Section } from '#statement/page/content';
import { beginSection, drawText, ensureRoom, headingHeight, STYLE, turnPage, type Flow, type Spacing } from '#statement/page/flow';
import { artifact, COLORS, tagged, type TextStyle } from '#statement/page/pen';
import type { Tag } from '#statement/sign/pdfkit-internals';

/** A table laid out: what each cell says on which lines, and how high each row is. */
interface Grid {
  readonly columns: readonly PlacedColumn[];
  readonly rows: readonly PlacedRow[];
  readonly size: number;
  readonly spacing: Spacing;
}

/** A section whose lines are broken and measured. */
export interface LaidOutSection {
  readonly section: Section;
  readonly grid: Grid;
  /** Heading, introduction and head of the table. */
  readonly openingHeight: number;
  /** On one page. */
  readonly height: number;
}

interface PlacedColumn extends Column {
  readonly x: number;
  readonly width: number;
}

interface PlacedRow {
  readonly row: Row;
  readonly cells: readonly (readonly string[])[];
  readonly height: number;
}

/** Room for the word above the numbers, in each language. */
const LINE_COLUMN_WIDTH = 28;
const GAP = 9;
const INTRO_GAP = 4;
/** Below this a column of text is not worth having, and the whole table is set smaller. */
const NARROWEST_TEXT = 58;
/** A tag or code is broken rather than let take more than this part of the table. */
const WIDEST_FITTED_TEXT = 0.22;
const SIZES = [8, 7.4, 6.8, 6.2, 5.6];

export function layOutSection(flow: Flow, section: Section): LaidOutSection {
  const grid = layOut(flow, section);
  const introLines = section.intro === undefined ? 0 : flow.pen.wrap(section.intro, STYLE.soft, flow.width).length;
  const openingHeight = headingHeight(flow) + introLines * STYLE.soft.size * flow.spacing.leading + INTRO_GAP + headHeight(grid);
  return { section, grid, openingHeight, height: openingHeight + sumOf(grid.rows.map(({ height }) => height)) };
}

export function drawSection(flow: Flow, { section, grid, openingHeight, height }: LaidOutSection): void {
  const isShort = height <= (flow.bottom - flow.y) / 2 || grid.rows.length <= 12;
  // A short table is not broken; of a long one at least two rows stay under its head.
  ensureRoom(flow, isShort ? height : openingHeight + sumOf(grid.rows.slice(0, 2).map((row) => row.height)) + carriedHeight(grid));

  beginSection(flow, section.title);
  if (section.intro !== undefined) {
    drawText(flow, section.intro, STYLE.soft);
    flow.y += INTRO_GAP;
  }
  const table = flow.pdf.struct('Table');
  flow.root.add(table);
  drawTaggedHead(flow, grid, table);
  drawRows(flow, section, grid, table);
  table.end();
}

function drawRows(flow: Flow, section: Section, grid: Grid, table: Tag): void {
  grid.rows.forEach((placed, index) => {
    const isBroken = flow.y + neededFrom(grid, index, section.carried !== undefined) > flow.bottom;
    if (isBroken) {
      const carried = section.carried?.(index);
      if (carried !== undefined && index > 0) drawCarried(flow, grid, flow.content.columnTitles.carriedForward, carried);
      turnPage(flow);
      artifact(flow.pdf, 'Pagination', () => drawHeadTexts(flow, grid));
      if (carried !== undefined && index > 0) drawCarried(flow, grid, flow.content.columnTitles.broughtForward, carried);
    }
    drawRow(flow, grid, placed, table);
  });
}

/** Room that must be left for a row to stand on this page: a total is not sent alone to the next one. */
function neededFrom(grid: Grid, index: number, isCarried: boolean): number {
  const row = grid.rows[index];
  const next = grid.rows[index + 1];
  const isLast = next === undefined;
  const withTotal = next !== undefined && next.row.weight !== 'plain' && index + 2 === grid.rows.length ? next.height : 0;
  const reserve = isCarried && !isLast && withTotal === 0 ? carriedHeight(grid) : 0;
  return (row?.height ?? 0) + withTotal + reserve;
}

function drawRow(flow: Flow, grid: Grid, { row, cells, height }: PlacedRow, table: Tag): void {
  const { pdf, pen, left, width } = flow;
  const top = flow.y;
  const style = rowStyle(row, grid.size);
  artifact(pdf, 'Layout', () => {
    if (row.weight === 'total') pen.fill({ x: left, y: top, width, height }, COLORS.tint);
    const color = row.weight === 'plain' ? COLORS.hairline : COLORS.rule;
    if (row.weight !== 'plain') pen.horizontalRule({ x: left, y: top, width, color, thickness: 0.6 });
    pen.horizontalRule({ x: left, y: top + height, width, color, thickness: 0.5 });
  });
  const tableRow = pdf.struct('TR');
  table.add(tableRow);
  const baseline = top + grid.spacing.rowPadding + grid.size;
  tagged(pdf, tableRow, 'TH', () => pen.text(String(row.line), { x: left + 3, y: baseline, style: lineStyle(grid.size) }), { scope: 'Row' });
  cells.forEach((lines, index) => {
    const column = grid.columns[index];
    if (column === undefined) return;
    tagged(pdf, tableRow, 'TD', () => drawCell(flow, column, lines, { baseline, style: cellStyle(style, index, grid) }));
  });
  tableRow.end();
  flow.y = top + height;
}

function drawCell(flow: Flow, column: PlacedColumn, lines: readonly string[], place: { baseline: number; style: TextStyle }): void {
  const x = column.align === 'right' ? column.x + column.width : column.x;
  lines.forEach((line, index) => {
    const y = place.baseline + index * place.style.size * flow.spacing.leading;
    flow.pen.text(line, { x, y, style: place.style, align: column.align });
  });
}

/** A running total at a page break, which the reader of the whole file is spared. `cells` lacks the first column. */
function drawCarried(flow: Flow, grid: Grid, label: string, cells: readonly string[]): void {
  const { pdf, pen, left } = flow;
  const style: TextStyle = { font: 'regular', size: grid.size, color: COLORS.soft };
  const baseline = flow.y + grid.spacing.rowPadding + grid.size;
  artifact(pdf, 'Pagination', () => {
    pen.text(label, { x: left + LINE_COLUMN_WIDTH, y: baseline, style });
    cells.forEach((cell, index) => {
      const column = grid.columns[index + 1];
      if (column !== undefined) drawCell(flow, column, [cell], { baseline, style });
    });
    pen.horizontalRule({ x: left, y: flow.y + carriedHeight(grid), width: flow.width, color: COLORS.hairline, thickness: 0.5 });
  });
  flow.y += carriedHeight(grid);
}

function drawTaggedHead(flow: Flow, grid: Grid, table: Tag): void {
  const row = flow.pdf.struct('TR');
  table.add(row);
  const baseline = flow.y + headHeight(grid) - 4;
  const texts = headTexts(flow, grid);
  for (const { text, x, align } of texts) {
    tagged(flow.pdf, row, 'TH', () => flow.pen.text(text, { x, y: baseline, style: headStyle(grid), align }), { scope: 'Column' });
  }
  row.end();
  artifact(flow.pdf, 'Layout', () => drawHeadRule(flow, grid));
  flow.y += headHeight(grid);
}

function drawHeadTexts(flow: Flow, grid: Grid): void {
  const baseline = flow.y + headHeight(grid) - 4;
  for (const { text, x, align } of headTexts(flow, grid)) flow.pen.text(text, { x, y: baseline, style: headStyle(grid), align });
  drawHeadRule(flow, grid);
  flow.y += headHeight(grid);
}

function drawHeadRule(flow: Flow, grid: Grid): void {
  flow.pen.horizontalRule({ x: flow.left, y: flow.y + headHeight(grid), width: flow.width, color: COLORS.accent, thickness: 0.8 });
}

function headTexts(flow: Flow, grid: Grid): { text: string; x: number; align: 'left' | 'right' }[] {
  return [
    { text: flow.content.columnTitles.line, x: flow.left + 3, align: 'left' },
    ...grid.columns.map(({ title, x, width, align }) => ({ text: title, x: align === 'right' ? x + width : x, align })),
  ];
}

function layOut(flow: Flow, section: Section): Grid {
  let grid = layOutAt(flow, section, SIZES[0] ?? STYLE.body.size);
  for (const size of SIZES.slice(1)) {
    if (grid.columns.every(({ grow, width }) => grow === 0 || width >= NARROWEST_TEXT)) break;
    grid = layOutAt(flow, section, size);
  }
  return grid;
}

function layOutAt(flow: Flow, section: Section, size: number): Grid {
  const room = flow.width - LINE_COLUMN_WIDTH - GAP * (section.columns.length - 1);
  const fitted = section.columns.map((column, index) => (column.grow > 0 ? 0 : fittedWidth(flow, section, { column, index, size })));
  const growing = sumOf(section.columns.map(({ grow }) => grow));
  const spare = Math.max(0, room - sumOf(fitted));
  let x = flow.left + LINE_COLUMN_WIDTH;
  const columns = section.columns.map((column, index): PlacedColumn => {
    const width = column.grow > 0 ? (spare * column.grow) / growing : (fitted[index] ?? 0);
    const placed = { ...column, x, width };
    x += width + GAP;
    return placed;
  });
  const { leading, rowPadding } = flow.spacing;
  const rows = section.rows.map((row): PlacedRow => {
    const style = rowStyle(row, size);
    const cells = row.cells.map((cell, index) => wrapCell(flow, columns, { row, cell, index, style }));
    const lines = Math.max(1, ...cells.map(({ length }) => length));
    return { row, cells, height: size + (lines - 1) * size * leading + 2 * rowPadding + size * 0.28 };
  });
  return { columns, rows, size, spacing: flow.spacing };
}

/** What a column needs for the longest of its texts; a column of words at most a part of the table. */
function fittedWidth(flow: Flow, section: Section, { column, index, size }: { column: Column; index: number; size: number }): number {
  const widths = section.rows.map((row) => (isLabelOfTotal(row, index) ? 0 : flow.pen.width(row.cells[index] ?? '', rowStyle(row, size))));
  const needed = Math.max(column.atLeast ?? 0, flow.pen.width(column.title, headStyle({ size })), ...widths);
  return column.align === 'right' ? needed : Math.min(needed, flow.width * WIDEST_FITTED_TEXT);
}

/** The label of a sum may run over the empty cell beside it. */
function isLabelOfTotal(row: Row, index: number): boolean {
  return row.weight !== 'plain' && index === 0 && row.cells[1] === '';
}

function wrapCell(flow: Flow, columns: readonly PlacedColumn[], place: { row: Row; cell: string; index: number; style: TextStyle }): string[] {
  const { row, cell, index, style } = place;
  const [column, next] = [columns[index], columns[index + 1]];
  if (column === undefined || column.align === 'right') return [cell];
  const width = next !== undefined && isLabelOfTotal(row, index) ? next.x + next.width - column.x : column.width;
  return flow.pen.wrap(cell, style, width);
}

function rowStyle(row: Row, size: number): TextStyle {
  return { font: row.weight === 'plain' ? 'regular' : 'bold', size, color: COLORS.ink };
}

/** What explains a figure stands back behind the figure and its label. */
function cellStyle(style: TextStyle, index: number, grid: Grid): TextStyle {
  const isBasis = grid.columns[index]?.align === 'left' && index > 0;
  return isBasis ? { ...style, font: 'regular', color: COLORS.soft } : style;
}

function lineStyle(size: number): TextStyle {
  return { font: 'regular', size: size - 1, color: COLORS.soft };
}

function headStyle({ size }: { size: number }): TextStyle {
  return { font: 'regular', size: size - 1, color: COLORS.soft };
}

function headHeight({ size }: { size: number }): number {
  return size + 5;
}

function carriedHeight({ size, spacing }: Pick<Grid, 'size' | 'spacing'>): number {
  return size * 1.28 + 2 * spacing.rowPadding;
}

function sumOf(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
