/** Who signs: a certificate and something that can use its private key. */
import { createPrivateKey, createPublicKey, sign, X509Certificate, type KeyObject } from 'node:crypto';

export type SignatureAlgorithm = 'ecdsa-with-sha256' | 'rsa-with-sha256';

/**
 * The private key stays behind `sign`, so that it may as well lie in a token or with another process. What it returns is
 * a DER ECDSA-Sig-Value (RFC 3279 2.2.3) or an RSASSA-PKCS1-v1_5 block.
 */
export interface Signer {
  /** DER. */
  readonly certificate: Uint8Array;
  /** Certificates above it, DER, for receivers who know only the topmost. */
  readonly chain: readonly Uint8Array[];
  readonly algorithm: SignatureAlgorithm;
  sign(message: Uint8Array): Uint8Array | Promise<Uint8Array>;
}

export type SignerProblem = 'key-does-not-fit-certificate' | 'key-type-not-supported' | 'rsa-key-too-short';

/** The shortest RSA key that is still accepted for signatures (NIST SP 800-131A Rev. 2 table 2, from memory). */
const SHORTEST_RSA_BITS = 2048;

/**
 * A signer over a private key at hand. `privateKey` is PKCS#8 DER. Refuses a key that is not the certificate's, other
 * kinds than EC and RSA, and short RSA keys.
 */
export function signerFromKey(material: {
  privateKey: Uint8Array;
  certificate: Uint8Array;
  chain?: readonly Uint8Array[];
}): { ok: true; signer: Signer } | { ok: false; problem: SignerProblem } {
  const key = createPrivateKey({ key: Buffer.from(material.privateKey), format: 'der', type: 'pkcs8' });
  const { certificate, chain = [] } = material;
  const algorithm = algorithmOf(key);
  if (algorithm === undefined) return { ok: false, problem: 'key-type-not-supported' };
  if (algorithm === 'rsa-with-sha256' && (key.asymmetricKeyDetails?.modulusLength ?? 0) < SHORTEST_RSA_BITS) {
    return { ok: false, problem: 'rsa-key-too-short' };
  }
  const certified = new X509Certificate(certificate).publicKey;
  if (!createPublicKey(key).equals(certified)) return { ok: false, problem: 'key-does-not-fit-certificate' };
  return { ok: true, signer: { certificate, chain, algorithm, sign: (message) => sign('sha256', message, key) } };
}

function algorithmOf(key: KeyObject): SignatureAlgorithm | undefined {
  if (key.asymmetricKeyType === 'rsa') return 'rsa-with-sha256';
  return key.asymmetricKeyType === 'ec' ? 'ecdsa-with-sha256' : undefined;
}
