/** Who signs: a certificate and something that can use its private key. */
import { createPrivateKey, createPublicKey, sign, verify, X509Certificate, type KeyObject } from 'node:crypto';

export type SignatureAlgorithm = 'ecdsa-with-sha256' | 'rsa-with-sha256';

/** A DER ECDSA-Sig-Value (RFC 3279 2.2.3) or an RSASSA-PKCS1-v1_5 block; or why there is none, which only happens where the key lies elsewhere. */
export type Signature =
  | { readonly ok: true; readonly signature: Uint8Array }
  | { readonly ok: false; readonly problem: 'key-out-of-reach' | 'not-by-the-certificate'; readonly detail: string };

/** The private key stays behind `sign`, so that it may as well lie in a token or with another process. */
export interface Signer {
  /** DER. */
  readonly certificate: Uint8Array;
  /** Certificates above it, DER, for receivers who know only the topmost. */
  readonly chain: readonly Uint8Array[];
  readonly algorithm: SignatureAlgorithm;
  sign(message: Uint8Array): Signature | Promise<Signature>;
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
  if (isTooShort(key)) return { ok: false, problem: 'rsa-key-too-short' };
  const certified = new X509Certificate(certificate).publicKey;
  if (!createPublicKey(key).equals(certified)) return { ok: false, problem: 'key-does-not-fit-certificate' };
  return { ok: true, signer: { certificate, chain, algorithm, sign: (message) => ({ ok: true, signature: sign('sha256', message, key) }) } };
}

/**
 * A signer over a key that lies elsewhere: `signElsewhere` gives the signature over the message (hashed there, by SHA-256), or
 * says why it cannot. Each signature is held against the certificate before anything carries it: a token with another key would
 * otherwise put out statements that nobody can check.
 */
export function signerElsewhere(material: {
  certificate: Uint8Array;
  chain: readonly Uint8Array[];
  signElsewhere: (message: Uint8Array) => Promise<{ readonly ok: true; readonly signature: Uint8Array } | { readonly ok: false; readonly detail: string }>;
}): { ok: true; signer: Signer } | { ok: false; problem: Exclude<SignerProblem, 'key-does-not-fit-certificate'> } {
  const { certificate, chain, signElsewhere } = material;
  const key = new X509Certificate(certificate).publicKey;
  const algorithm = algorithmOf(key);
  if (algorithm === undefined) return { ok: false, problem: 'key-type-not-supported' };
  if (isTooShort(key)) return { ok: false, problem: 'rsa-key-too-short' };
  const signWith = async (message: Uint8Array): Promise<Signature> => {
    const made = await signElsewhere(message);
    if (!made.ok) return { ...made, problem: 'key-out-of-reach' };
    if (verify('sha256', message, key, made.signature)) return made;
    return { ok: false, problem: 'not-by-the-certificate', detail: `${made.signature.length} bytes came back that are no signature under the certificate` };
  };
  return { ok: true, signer: { certificate, chain, algorithm, sign: signWith } };
}

function isTooShort(key: KeyObject): boolean {
  return key.asymmetricKeyType === 'rsa' && (key.asymmetricKeyDetails?.modulusLength ?? 0) < SHORTEST_RSA_BITS;
}

function algorithmOf(key: KeyObject): SignatureAlgorithm | undefined {
  if (key.asymmetricKeyType === 'rsa') return 'rsa-with-sha256';
  return key.asymmetricKeyType === 'ec' ? 'ecdsa-with-sha256' : undefined;
}
