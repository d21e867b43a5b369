/** The little of fontkit that is used here; it comes without types. */
declare module 'fontkit' {
  export interface Glyph {
    readonly id: number;
    readonly advanceWidth: number;
  }

  /** In units of the font. */
  export interface GlyphPosition {
    xAdvance: number;
    yAdvance: number;
    xOffset: number;
    yOffset: number;
  }

  export interface GlyphRun {
    readonly glyphs: readonly Glyph[];
    readonly positions: readonly GlyphPosition[];
    readonly advanceWidth: number;
  }

  /** The glyphs that one document uses, in the order in which it first did. */
  export interface Subset {
    readonly glyphs: readonly number[];
    encode(): Uint8Array;
  }

  export interface Font {
    readonly postscriptName: string;
    readonly unitsPerEm: number;
    hasGlyphForCodePoint(codePoint: number): boolean;
    layout(text: string, features?: unknown): GlyphRun;
    createSubset(): Subset;
  }

  export function create(file: Uint8Array): Font;
}
