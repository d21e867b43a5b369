/** What can be compared by machine, at the end: set small, in one block that stays together. */
import { QUIET_ZONE } from '#statement/page/code';
import { beginSection, ensureRoom, headingHeight, STYLE, type Flow, type PageContent } from '#statement/page/flow';
import { COLORS, figure, tagged } from '#statement/page/pen';

/** Of one module: 0.5 mm, which any telephone reads off paper. */
const MODULE = 1.42;
const CODE_GAP = 14;

interface LaidOutProof {
  readonly lines: readonly string[];
  readonly codeSide: number;
  readonly height: number;
}

export function proofHeight(flow: Flow<PageContent>): number {
  return layOut(flow).height;
}

export function drawProof(flow: Flow<PageContent>): void {
  const { pdf, pen, root, left, right, content } = flow;
  const { title, values, code } = content.proof;
  const { lines, codeSide, height } = layOut(flow);
  ensureRoom(flow, height);
  beginSection(flow, title);
  const top = flow.y;
  const lineHeight = lineHeightOf(flow);
  for (const line of lines) {
    flow.y += lineHeight;
    const baseline = flow.y;
    tagged(pdf, root, 'P', () => pen.text(line, { x: left, y: baseline, style: STYLE.small }));
  }
  flow.y += 2;
  const labelWidth = Math.max(...values.map(({ label }) => pen.width(label, STYLE.small))) + 8;
  for (const { label, value } of values) {
    flow.y += lineHeight;
    const baseline = flow.y;
    tagged(pdf, root, 'P', () => {
      pen.text(`${label} `, { x: left, y: baseline, style: STYLE.small });
      pen.text(value, { x: left + labelWidth, y: baseline, style: { ...STYLE.small, color: COLORS.ink } });
    });
  }
  if (code === undefined) return;
  // Up beside the heading, and out into the margin by the width of its own quiet zone: what is seen of it ends where the page does.
  const quiet = QUIET_ZONE * MODULE;
  const [x, y] = [right - codeSide + quiet, top - STYLE.heading.size - quiet];
  figure(pdf, root, code.alternative, () =>
    pen.fillAll(code.squares.runs.map((run) => ({ x: x + run.x * MODULE, y: y + run.y * MODULE, width: run.width * MODULE, height: MODULE })), COLORS.ink),
  );
  flow.y = Math.max(flow.y, y + codeSide - quiet);
}

function layOut(flow: Flow<PageContent>): LaidOutProof {
  const { text, values, code } = flow.content.proof;
  const codeSide = (code?.squares.modules ?? 0) * MODULE;
  const width = flow.width - (code === undefined ? 0 : codeSide + CODE_GAP);
  const lines = [text, ...(code === undefined ? [] : [code.text])].flatMap((part) => flow.pen.wrap(part, STYLE.small, width));
  const textHeight = lineHeightOf(flow) * (lines.length + values.length) + 6;
  return { lines, codeSide, height: headingHeight(flow) + Math.max(textHeight, codeSide - STYLE.heading.size) };
}

function lineHeightOf({ spacing }: Flow<PageContent>): number {
  return STYLE.small.size * spacing.leading;
}
