/** The parts of pdfkit that its type declarations leave out and that a signature and a tagged page need. */
import type PDFDocument from 'pdfkit';

/** A document being written. */
export type Pdf = InstanceType<typeof PDFDocument>;

/** An indirect object. It is written to the file when it is ended, and must be ended once. */
export interface PdfReference {
  readonly data: Record<string, unknown>;
  end(chunk?: Uint8Array): void;
}

/** A place in the tagged structure (ISO 32000-1 section 14.8), by which the page is read aloud and reflowed. */
export type Tag = ReturnType<Pdf['struct']>;

export interface PdfInternals {
  /** `scope` says which cells a TH is the heading of; `alt` is read instead of a picture. */
  struct(type: string, options: { scope?: 'Row' | 'Column'; alt?: string }): Tag;
  file(
    bytes: Uint8Array,
    options: { name: string; type: string; relationship: 'Data' | 'Source'; creationDate: Date; modifiedDate: Date },
  ): PdfReference;
  ref(data?: Record<string, unknown>): PdfReference;
  readonly _root: PdfReference;
  readonly page: {
    readonly dictionary: PdfReference;
    readonly annotations: PdfReference[];
    /** Fonts that the page names in its content. */
    readonly fonts: Record<string, PdfReference>;
  };
  /** The font in use. */
  readonly _font: EmbeddedFont;
}

/** A font as it goes into one document, glyph by glyph as they are used. Widths are in thousandths of the font's size. */
export interface EmbeddedFont {
  readonly id: string;
  ref(): PdfReference;
  /** Glyphs as four hexadecimal digits each, and where they go. */
  encode(text: string): [string[], { xAdvance: number; advanceWidth: number; xOffset: number; yOffset: number }[]];
}

export function internalsOf(pdf: Pdf): PdfInternals {
  return pdf as unknown as PdfInternals;
}
