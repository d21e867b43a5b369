/** The last periods beside this one: two bars each over the figures that they stand for, so that nothing has to be read off an axis. */
import type { ChartContent } from '#statement/page/chart-content';
import { beginSection, headingHeight, type Flow } from '#statement/page/flow';
import { COLORS, figure, type Box, type TextStyle } from '#statement/page/pen';

const LABELS_WIDTH = 82;
const BARS_HEIGHT = 32;
const BAR_WIDTH = 8;
const USUAL_SIZE = 6.4;
const SWATCH = 5;
/** Light and dark enough against each other for a copier. */
const SERIES_COLORS = [COLORS.rule, COLORS.accent] as const;

export function chartHeight(flow: Flow, chart: ChartContent | undefined): number {
  return chart === undefined ? 0 : headingHeight(flow) + BARS_HEIGHT + 8 + lineHeightOf(flow) * (2 + chart.series.length);
}

export function drawChart(flow: Flow, chart: ChartContent): void {
  beginSection(flow, chart.title);
  const columnWidth = (flow.width - LABELS_WIDTH) / chart.slots;
  const top = flow.y + 4;
  figure(flow.pdf, flow.root, chart.alternative, () => {
    drawBars(flow, chart, { x: flow.left + LABELS_WIDTH, y: top, width: columnWidth, height: BARS_HEIGHT });
    drawLabels(flow, chart, { columnWidth, y: top + BARS_HEIGHT + 1 });
  });
  flow.y = top + BARS_HEIGHT + 4 + lineHeightOf(flow) * (2 + chart.series.length);
}

/** `first` is the place of the first column; the others follow to its right. */
function drawBars(flow: Flow, { series }: ChartContent, first: Box): void {
  const values = series.flatMap((each) => each.values);
  const [highest, lowest] = [greatest(values), -greatest(values.map((value) => -value))];
  // Of the range, in ten-thousandths: amounts can be larger than what a number holds exactly.
  const part = (amountMinor: bigint): number => Number((amountMinor * 10_000n) / (highest - lowest === 0n ? 1n : highest - lowest)) / 10_000;
  const zero = first.y + part(highest) * first.height;
  series.forEach((each, place) => {
    const bars = each.values.map((value, column): Box => {
      const height = part(value < 0n ? -value : value) * first.height;
      const x = first.x + (column + 1) * first.width - (series.length - place) * BAR_WIDTH;
      return { x, y: value < 0n ? zero : zero - height, width: BAR_WIDTH - 1, height };
    });
    flow.pen.fillAll(bars, SERIES_COLORS[place] ?? COLORS.accent);
  });
  flow.pen.horizontalRule({ x: first.x, y: zero, width: first.width * (series[0]?.values.length ?? 0), color: COLORS.soft, thickness: 0.5 });
}

function drawLabels(flow: Flow, { columns, series }: ChartContent, place: { columnWidth: number; y: number }): void {
  const { pen, left } = flow;
  const rightOf = (column: number): number => left + LABELS_WIDTH + (column + 1) * place.columnWidth - 1;
  const lineHeight = lineHeightOf(flow);
  // As if all were bold, as the last column is.
  const texts = [...columns.flatMap(({ label, year }) => [label, year]), ...series.flatMap((each) => each.texts)];
  const widest = Math.max(...texts.map((text) => pen.width(text, { ...labelStyle(USUAL_SIZE), font: 'bold' })));
  const size = Math.min(USUAL_SIZE, (USUAL_SIZE * (place.columnWidth - 4)) / widest);
  columns.forEach(({ label, year }, column) => {
    pen.text(label, { x: rightOf(column), y: place.y + lineHeight, style: labelStyle(size), align: 'right' });
    pen.text(year, { x: rightOf(column), y: place.y + 2 * lineHeight - 1.5, style: labelStyle(size), align: 'right' });
  });
  series.forEach((each, index) => {
    const y = place.y + (index + 3) * lineHeight;
    pen.fill({ x: left, y: y - SWATCH, width: SWATCH, height: SWATCH }, SERIES_COLORS[index] ?? COLORS.accent);
    pen.text(each.label, { x: left + SWATCH + 4, y, style: { ...labelStyle(USUAL_SIZE + 0.6), color: COLORS.ink } });
    each.texts.forEach((text, column) => {
      const isOwn = column === each.texts.length - 1;
      pen.text(text, { x: rightOf(column), y, style: { font: isOwn ? 'bold' : 'regular', size, color: COLORS.ink }, align: 'right' });
    });
  });
}

function lineHeightOf({ spacing }: Flow): number {
  return 7.1 * spacing.leading;
}

function labelStyle(size: number): TextStyle {
  return { font: 'regular', size, color: COLORS.soft };
}

/** The greatest of these and nought. */
function greatest(values: readonly bigint[]): bigint {
  return values.reduce((most, value) => (value > most ? value : most), 0n);
}
