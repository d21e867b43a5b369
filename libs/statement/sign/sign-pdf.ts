/** Fills the empty signature of a rendered statement. */
import { locateSignature, type SignatureHole } from '#statement/sign/byte-range';
import { signCms, type SignatureStamp } from '#statement/sign/cms';
import type { Signature, Signer } from '#statement/sign/signer';
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
  | { readonly ok: false; readonly problem: 'signature-too-large'; readonly neededBytes: number; readonly roomBytes: number }
  | Extract<Signature | SignatureStamp, { ok: false }>;

/**
 * Signs a PDF that was rendered with `addSignatureField`. The certificates must fit into the room kept for the signature, and a
 * key that lies elsewhere must answer, as must whoever stamps the signature; everything else that can go wrong is a bug and throws.
 */
export async function signPdf(request: {
  unsignedPdf: Uint8Array;
  signer: Signer;
  stampSignature?: ((signature: Uint8Array) => Promise<SignatureStamp>) | undefined;
}): Promise<SignPdfResult> {
  const { unsignedPdf, signer, stampSignature } = request;
  const located = locateSignature(unsignedPdf);
  if (!located.ok) throw new Error(`cannot sign: ${located.problem}`);
  if (!located.coversWholeFile) throw new Error('cannot sign: something was appended to the rendered PDF');

  const made = await signCms({ contentDigest: signedContentDigest(unsignedPdf, located.hole), signer, stampSignature });
  if (!made.ok) return made;
  const roomBytes = (located.hole.end - located.hole.start - 2) / 2;
  if (made.cms.length > roomBytes) {
    return { ok: false, problem: 'signature-too-large', neededBytes: made.cms.length, roomBytes };
  }
  const signedPdf = Buffer.from(unsignedPdf);
  signedPdf.write(Buffer.from(made.cms).toString('hex'), located.hole.start + 1, 'latin1');
  return {
    ok: true,
    signedPdf,
    signedDigest: sha256Hex(signedPdf),
    certificateFingerprint: sha256Hex(signer.certificate),
  };
}

/** Why a file was not signed, for whoever reads logs. */
export function notSignedInWords(failure: Extract<SignPdfResult, { ok: false }>): string {
  if (failure.problem === 'signature-too-large') return `the signature needs ${failure.neededBytes} bytes and there is room for ${failure.roomBytes}`;
  if (failure.problem === 'not-stamped') return `the time-stamp authority gave no stamp (${failure.why}): ${failure.detail}`;
  return `the key that lies elsewhere did not sign (${failure.problem}): ${failure.detail}`;
}

export function sha256Hex(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

function signedContentDigest(pdf: Uint8Array, hole: SignatureHole): Uint8Array {
  return createHash('sha256').update(pdf.subarray(0, hole.start)).update(pdf.subarray(hole.end)).digest();
}
