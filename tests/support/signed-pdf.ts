/** Small PDFs and signers for tests of signatures. */
import { addSignatureField, USUAL_SIGNATURE_ROOM_BYTES } from '#statement/sign/signature-field';
import { fillByteRange } from '#statement/sign/byte-range';
import { makeOperatorCertificate } from '#statement/sign/operator-certificate';
import { signPdf, type SignedPdf } from '#statement/sign/sign-pdf';
import { signerFromKey, type Signer } from '#statement/sign/signer';
import PDFDocument from 'pdfkit';
import { buffer } from 'node:stream/consumers';

const SIGNED_AT = new Date('2025-06-02T07:30:00Z');

/** One page of text with an empty signature. */
export async function unsignedPdf(options: { roomBytes?: number; text?: string } = {}): Promise<Buffer> {
  const pdf = new PDFDocument({ pdfVersion: '1.7', info: { CreationDate: SIGNED_AT } });
  pdf.text(options.text ?? 'A page to sign');
  addSignatureField(pdf, { signedAt: SIGNED_AT, roomBytes: options.roomBytes ?? USUAL_SIGNATURE_ROOM_BYTES });
  pdf.end();
  const bytes = await buffer(pdf);
  fillByteRange(bytes);
  return bytes;
}

/** A signer with a certificate of its own, valid from 2025 to 2035 unless other dates are given. */
export async function operatorSigner(operatorName = 'Harbour Lane Amusements', { validFrom = '2025-01-01', validTo = '2035-01-01' } = {}): Promise<Signer> {
  const made = await makeOperatorCertificate({ operatorName, validFrom: new Date(validFrom), validTo: new Date(validTo), serial: '5f3a' });
  return signerOf(made);
}

export function signerOf(material: Parameters<typeof signerFromKey>[0]): Signer {
  const result = signerFromKey(material);
  if (!result.ok) throw new Error(result.problem);
  return result.signer;
}

export async function signed(pdf: Uint8Array, signer: Signer, stampSignature?: Parameters<typeof signPdf>[0]['stampSignature']): Promise<SignedPdf> {
  const result = await signPdf({ unsignedPdf: pdf, signer, stampSignature });
  if (!result.ok) throw new Error(result.problem);
  return result;
}
