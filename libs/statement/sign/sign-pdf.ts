/** Fills the empty signature of a rendered statement. */
import { locateSignature, type SignatureHole } from '#statement/sign/byte-range';
import { signCms } from '#statement/sign/cms';
import type { Signer } from '#statement/sign/signer';
import { createHash } from 'node:crypto';

export interface SignedPdf {
  readonly signedPdf: Buffer;
  /** SHA-256 of the signed file, lower-case hex. ECDSA is random, so signing again gives another. */
  readonly signedDigest: string;
  /** SHA-256 of the signer's certificate, lower-case hex. */
  readonly certificateFingerprint: string;
}

export type SignPdfResult =
  | ({ readonly ok: true } & SignedPdf)
  | { readonly ok: false; readonly problem: 'signature-too-large'; readonly neededBytes: number; readonly roomBytes: number };

/**
 * Signs a PDF that was rendered with `addSignatureField`. The certificates must fit into the room kept for the signature;
 * everything else that can go wrong is a bug and throws.
 */
export async function signPdf(request: { unsignedPdf: Uint8Array; signer: Signer }): Promise<SignPdfResult> {
  const { unsignedPdf, signer } = request;
  const located = locateSignature(unsignedPdf);
  if (!located.ok) throw new Error(`cannot sign: ${located.problem}`);
  if (!located.coversWholeFile) throw new Error('cannot sign: something was appended to the rendered PDF');

  const signature = await signCms({ contentDigest: signedContentDigest(unsignedPdf, located.hole), signer });
  const roomBytes = (located.hole.end - located.hole.start - 2) / 2;
  if (signature.length > roomBytes) {
    return { ok: false, problem: 'signature-too-large', neededBytes: signature.length, roomBytes };
  }
  const signedPdf = Buffer.from(unsignedPdf);
  signedPdf.write(Buffer.from(signature).toString('hex'), located.hole.start + 1, 'latin1');
  return {
    ok: true,
    signedPdf,
    signedDigest: sha256Hex(signedPdf),
    certificateFingerprint: sha256Hex(signer.certificate),
  };
}

export function sha256Hex(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

function signedContentDigest(pdf: Uint8Array, hole: SignatureHole): Uint8Array {
  return createHash('sha256').update(pdf.subarray(0, hole.start)).update(pdf.subarray(hole.end)).digest();
}
