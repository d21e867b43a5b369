/** A signed file that somebody else signs as well, the way PAdES adds signatures: in a revision behind it (ISO 32000-1 7.5.6, ETSI EN 319 142-1). */
import { fillByteRange, UNKNOWN_BYTE_RANGE } from '#statement/sign/byte-range';
import { signCms } from '#statement/sign/cms';
import type { Signer } from '#statement/sign/signer';
import { partsOf, type PdfObject } from '#statement/verify/pdf-objects';
import { createHash } from 'node:crypto';

const ROOM_BYTES = 4096;

export async function signedAgain(pdf: Buffer, signer: Signer): Promise<Buffer> {
  const parts = partsOf(pdf);
  if ('at' in parts) throw new Error(`unreadable at ${parts.at}`);
  const page = theOne(parts.objects, '/Type /Page\n');
  const form = theOne(parts.objects, '/SigFlags 3');
  const size = parts.objects.length + 1;
  const [signature, widget] = [size, size + 1];
  const bodies = new Map([
    [page.id, page.body.replace(/\/Annots \[([^\]]*)\]/, `/Annots [$1 ${widget} 0 R]`)],
    [form.id, form.body.replace(/\/Fields \[([^\]]*)\]/, `/Fields [$1 ${widget} 0 R]`)],
    [signature, `<<\n/Type /Sig\n/Filter /Adobe.PPKLite\n/SubFilter /ETSI.CAdES.detached\n/ByteRange [${UNKNOWN_BYTE_RANGE.join(' ')}]\n/Contents <${'0'.repeat(2 * ROOM_BYTES)}>\n/M (D:20260301120000Z)\n>>`],
    [widget, `<<\n/Type /Annot\n/Subtype /Widget\n/FT /Sig\n/T (Second)\n/F 132\n/Rect [0 0 0 0]\n/P ${page.id} 0 R\n/V ${signature} 0 R\n>>`],
  ]);
  const longer = Buffer.concat([pdf, revision({ bodies, at: pdf.length, trailer: parts.trailer.replace(/\/Size \d+/, `/Size ${widget + 1}\n/Prev ${startOfTable(pdf)}`) })]);
  fillByteRange(longer);
  const start = longer.indexOf('/Contents <', pdf.length) + '/Contents '.length;
  const end = start + 2 * ROOM_BYTES + 2;
  const made = await signCms({ contentDigest: createHash('sha256').update(longer.subarray(0, start)).update(longer.subarray(end)).digest(), signer });
  if (!made.ok) throw new Error(made.problem);
  longer.write(Buffer.from(made.cms).toString('hex'), start + 1, 'latin1');
  return longer;
}

/** Objects that replace those of the same numbers or come new, with their cross-reference table. */
function revision({ bodies, at, trailer }: { readonly bodies: ReadonlyMap<number, string>; readonly at: number; readonly trailer: string }): Buffer {
  let text = '';
  const sections = [...bodies].map(([id, body]) => {
    const section = `${id} 1\n${String(at + text.length).padStart(10, '0')} 00000 n \n`;
    text += `${id} 0 obj\n${body}\nendobj\n`;
    return section;
  });
  return Buffer.from(`${text}xref\n${sections.join('')}trailer\n${trailer}\nstartxref\n${at + text.length}\n%%EOF\n`, 'latin1');
}

function theOne(objects: readonly PdfObject[], mark: string): PdfObject {
  const found = objects.find(({ body }) => body.includes(mark));
  if (found === undefined) throw new Error(`no object with ${mark}`);
  return found;
}

function startOfTable(pdf: Buffer): string {
  return /startxref\n(\d+)\n%%EOF\n$/.exec(pdf.toString('latin1'))?.[1] ?? '';
}
