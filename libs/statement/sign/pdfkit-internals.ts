/** The parts of pdfkit that its type declarations leave out and that a signature and a tagged page need. */
import type PDFDocument from 'pdfkit';

/** A document being written. */
export type Pdf = InstanceType<typeof PDFDocument>;

/** An indirect object. It is written to the file when it is ended, and must be ended once. */
export interface PdfReference {
  readonly data: Record<string, unknown>;
  end(chunk?: Uint8Array): void;
}

export interface PdfInternals {
  ref(data?: Record<string, unknown>): PdfReference;
  readonly _root: PdfReference;
  readonly page: { readonly dictionary: PdfReference; readonly annotations: PdfReference[] };
}

export function internalsOf(pdf: Pdf): PdfInternals {
  return pdf as unknown as PdfInternals;
}
