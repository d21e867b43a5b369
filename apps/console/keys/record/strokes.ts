/** x and y of each point in turn, from 0 to 1000, y downwards. */
export type Stroke = readonly number[];

/** What the api takes; a signature needs far less. */
const mostNumbers = 3000;
const mostStrokes = 60;
const mostPerStroke = 1600;

/** Nearer points than that are the same to the eye. */
const nearest = 4;

/** The stroke goes on to a point of the pad, given as parts of its width and height; a pen that hardly moved adds nothing. */
export function extend(stroke: Stroke, point: { readonly x: number; readonly y: number }): Stroke {
  const [x, y] = [inRange(point.x), inRange(point.y)];
  const [beforeX, beforeY] = [stroke.at(-2), stroke.at(-1)];
  if (beforeX !== undefined && beforeY !== undefined && Math.hypot(x - beforeX, y - beforeY) < nearest) return stroke;
  return stroke.length + 2 > mostPerStroke ? stroke : [...stroke, x, y];
}

/** The strokes with one more; a dot becomes a short line, and what would be more than a signature can hold is left out. */
export function withStroke(strokes: readonly Stroke[], stroke: Stroke): readonly Stroke[] {
  const [x, y] = stroke;
  if (x === undefined || y === undefined) return strokes;
  const whole = stroke.length < 4 ? [x, y, Math.min(x + nearest, 1000), y] : stroke;
  const numbers = strokes.reduce((sum, { length }) => sum + length, whole.length);
  return strokes.length >= mostStrokes || numbers > mostNumbers ? strokes : [...strokes, whole];
}

/** A path of SVG through its points. */
export function pathOf(stroke: Stroke): string {
  return stroke.reduce((path, value, index) => `${path}${index === 0 ? 'M' : index % 2 === 0 ? ' L' : ','}${value}`, '');
}

const inRange = (part: number): number => Math.floor(Math.min(Math.max(part, 0), 1) * 1000 + 0.5);
