/** What every file of this program is on the outside: PDF 1.7, tagged, with the structure of PDF/A-3b. */
import { canonicalBytes, type CanonicalValue } from '#domain/evidence/canonical-json';
import { uncoveredCharacters } from '#statement/page/fonts';
import { internalsOf, type Pdf } from '#statement/sign/pdfkit-internals';
import { concatBytes } from '@noble/hashes/utils';
import PDFDocument from 'pdfkit';

const PROGRAM_NAME = 'Latchledger';

/** An empty file with its first page. No names of sites or people in the title: an Info dictionary travels further than the page. */
export function startPdf(file: { paper: 'A4' | 'Letter'; locale: string; title: string; createdAt: Date }): Pdf {
  return new PDFDocument({
    size: file.paper === 'A4' ? 'A4' : 'LETTER',
    margin: 0,
    pdfVersion: '1.7',
    subset: 'PDF/A-3b',
    tagged: true,
    lang: file.locale,
    displayTitle: true,
    bufferPages: true,
    // No default font: pdfkit would parse the metrics of Helvetica for every document.
    font: '',
    info: { Title: file.title, Producer: PROGRAM_NAME, Creator: PROGRAM_NAME, CreationDate: file.createdAt },
  });
}

/** All that pdfkit writes. It writes a thousand small pieces, which an async iterator would take one by one. */
export function collected(pdf: Pdf): Promise<Uint8Array> {
  const chunks: Uint8Array[] = [];
  return new Promise((resolve, reject) => {
    pdf.on('data', (chunk: Uint8Array) => chunks.push(chunk));
    pdf.on('end', () => resolve(concatBytes(...chunks)));
    pdf.on('error', reject);
  });
}

/** Attaches a value for machines as one canonical JSON file. */
export function attachJson(pdf: Pdf, attached: { name: string; at: Date; value: CanonicalValue }): void {
  internalsOf(pdf).file(canonicalBytes(attached.value), { name: attached.name, type: 'application/json', relationship: 'Data', creationDate: attached.at, modifiedDate: attached.at });
}

/** Throws when a text anywhere in the content has letters that no font covers: they would vanish from the page. */
export function requirePrintable(content: unknown): void {
  const missing = new Set<string>();
  const visit = (value: unknown): void => {
    if (typeof value === 'string') for (const character of uncoveredCharacters(value)) missing.add(character);
    else if (Array.isArray(value)) value.forEach(visit);
    else if (typeof value === 'object' && value !== null) Object.values(value).forEach(visit);
  };
  visit(content);
  if (missing.size > 0) throw new Error(`no font covers: ${[...missing].join(' ')}`);
}
