/**
 * The fonts of the page. Parsing them takes some 40 ms and shaping a word some 50 microseconds; a page has 300 words and
 * most of them come again, so fonts are parsed once for the process and shaped words are remembered.
 */
import { create, type Font, type Glyph, type GlyphPosition, type GlyphRun, type Subset } from 'fontkit';
import { fontFiles } from '#statement/page/font-files';

export interface StatementFonts {
  readonly regular: Font;
  readonly bold: Font;
}

let parsed: StatementFonts | undefined;

/** DejaVu Sans Condensed: Latin, Greek and Cyrillic, and figures of one width. */
export function statementFonts(): StatementFonts {
  if (parsed === undefined) {
    const files = fontFiles();
    parsed = { regular: remembering(create(files.regular)), bold: remembering(create(files.bold)) };
  }
  return parsed;
}

// The fonts have some of these letters, but the page sets all text from left to right and would print them in reverse.
const RIGHT_TO_LEFT = /[\p{Script=Arabic}\p{Script=Hebrew}\p{Script=Nko}\p{Script=Syriac}\p{Script=Thaana}]/u;

const coverage = new Map<string, boolean>();

/**
 * The characters of a text that a statement cannot print, each once; empty for a text that it can. To be asked when a name
 * is entered: a missing letter would otherwise vanish from the page without a word.
 */
export function uncoveredCharacters(text: string): string[] {
  const missing: string[] = [];
  for (const character of text) if (!isCovered(character) && !missing.includes(character)) missing.push(character);
  return missing;
}

function isCovered(character: string): boolean {
  let covered = coverage.get(character);
  if (covered === undefined) {
    const { regular, bold } = statementFonts();
    const codePoint = character.codePointAt(0) ?? 0;
    covered =
      !/\p{Cc}|\p{Cs}/u.test(character) &&
      !RIGHT_TO_LEFT.test(character) &&
      regular.hasGlyphForCodePoint(codePoint) &&
      bold.hasGlyphForCodePoint(codePoint);
    coverage.set(character, covered);
  }
  return covered;
}

/** Enough for the words of an operator's statements; a run takes about a kilobyte. */
const REMEMBERED_RUNS = 5_000;

/** The same font with a memory of shaped texts. */
function remembering(font: Font): Font {
  const runs = new Map<string, GlyphRun>();
  const remembered = (text: string): GlyphRun => {
    let run = runs.get(text);
    if (run === undefined) {
      run = font.layout(text);
      if (runs.size >= REMEMBERED_RUNS) runs.clear();
      runs.set(text, run);
    }
    return run;
  };
  const layout = (text: string, features?: unknown): GlyphRun => {
    if (features !== undefined) return font.layout(text, features);
    return fresh(isFigures(text) ? Array.from(text, remembered) : [remembered(text)]);
  };
  return Object.create(font, { layout: { value: layout }, createSubset: { value: subsetsOf(font) } }) as Font;
}

/** A subset takes 20 to 30 kB; statements of one language differ in a few letters at most. */
const REMEMBERED_SUBSETS = 40;

/** `createSubset` with a memory of the font files that came out of it. */
function subsetsOf(font: Font): () => Subset {
  const files = new Map<string, Uint8Array>();
  return () => {
    const subset = font.createSubset();
    const encode = subset.encode.bind(subset);
    return Object.assign(subset, {
      encode: () => {
        const glyphs = subset.glyphs.join(' ');
        const file = files.get(glyphs) ?? encode();
        if (files.size >= REMEMBERED_SUBSETS) files.clear();
        files.set(glyphs, file);
        return file;
      },
    });
  };
}

/**
 * Amounts differ on every page and would crowd out the words, but DejaVu's figures neither join nor kern: a number is put
 * together from single figures.
 */
export function isFigures(text: string): boolean {
  return /^[0-9.,\u2212]+$/.test(text);
}

/** Runs as one, with positions of its own. */
function fresh(runs: readonly GlyphRun[]): GlyphRun {
  const glyphs: Glyph[] = [];
  const positions: GlyphPosition[] = [];
  for (const run of runs) {
    glyphs.push(...run.glyphs);
    for (const { xAdvance, yAdvance, xOffset, yOffset } of run.positions) positions.push({ xAdvance, yAdvance, xOffset, yOffset });
  }
  return new FreshRun(glyphs, positions);
}

/**
 * pdfkit scales the positions in place and reads the width after that, so it must be a getter. A class, because a getter in
 * an object literal gives each object a hidden class of its own that outlives it: half a megabyte a page, until the next full
 * collection.
 */
class FreshRun implements GlyphRun {
  constructor(
    readonly glyphs: readonly Glyph[],
    readonly positions: readonly GlyphPosition[],
  ) {}

  get advanceWidth(): number {
    return this.positions.reduce((width, { xAdvance }) => width + xAdvance, 0);
  }
}
