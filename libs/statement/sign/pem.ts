/** Reading the operator's own key and certificates from text (RFC 7468), RSA and EC alike. */
import { createPrivateKey, createPublicKey, X509Certificate, type KeyObject } from 'node:crypto';
import { chainAbove, type Pkcs12Contents } from './pkcs12';

export type ReadPemResult =
  | ({ readonly ok: true } & Pkcs12Contents)
  | { readonly ok: false; readonly problem: 'not-pem' | 'key-is-encrypted' | 'no-private-key' | 'several-private-keys' | 'no-certificate-for-the-key' };

const BLOCK = /-----BEGIN ([A-Z0-9 ]+)-----[\s\S]*?-----END \1-----/g;

/**
 * One private key and its certificates, in any order, with anything between them that is neither. A key under a password is not
 * opened: such a text says itself how often the password is hashed, and nothing could stop that once it runs.
 */
export function readPem(text: string): ReadPemResult {
  const blocks = [...text.matchAll(BLOCK)].map(([block, label = '']) => ({ block, label }));
  const keys = blocks.filter(({ label }) => label.endsWith('PRIVATE KEY'));
  const [key] = keys;
  if (blocks.length === 0) return { ok: false, problem: 'not-pem' };
  if (key === undefined) return { ok: false, problem: 'no-private-key' };
  if (keys.length > 1) return { ok: false, problem: 'several-private-keys' };
  // RFC 5958 says it in the label, the older form (RFC 1421) in a header.
  if (key.label === 'ENCRYPTED PRIVATE KEY' || /^Proc-Type:.*ENCRYPTED/m.test(key.block)) return { ok: false, problem: 'key-is-encrypted' };
  try {
    return contentsOf(createPrivateKey(key.block), blocks.filter(({ label }) => label === 'CERTIFICATE').map(({ block }) => new X509Certificate(block)));
  } catch {
    // A block in order may hold a key or a certificate that is none; node:crypto says so by throwing.
    return { ok: false, problem: 'not-pem' };
  }
}

export type ReadPemCertificatesResult =
  | { readonly ok: true; readonly certificate: Uint8Array; readonly chain: readonly Uint8Array[] }
  | { readonly ok: false; readonly problem: 'not-pem' | 'private-key-sent' };

/** Certificates without a key, the one that signs first; the others are those above it, in any order. */
export function readPemCertificates(text: string): ReadPemCertificatesResult {
  const blocks = [...text.matchAll(BLOCK)].map(([block, label = '']) => ({ block, label }));
  if (blocks.some(({ label }) => label.endsWith('PRIVATE KEY'))) return { ok: false, problem: 'private-key-sent' };
  try {
    const [certificate, ...others] = blocks.filter(({ label }) => label === 'CERTIFICATE').map(({ block }) => new X509Certificate(block).raw);
    return certificate === undefined ? { ok: false, problem: 'not-pem' } : { ok: true, certificate, chain: chainAbove(certificate, others) };
  } catch {
    // A block in order may hold a certificate that is none; node:crypto says so by throwing.
    return { ok: false, problem: 'not-pem' };
  }
}

function contentsOf(key: KeyObject, certificates: readonly X509Certificate[]): ReadPemResult {
  const publicKey = createPublicKey(key);
  const own = certificates.find((certificate) => certificate.publicKey.equals(publicKey));
  if (own === undefined) return { ok: false, problem: 'no-certificate-for-the-key' };
  const others = certificates.filter((certificate) => certificate !== own).map(({ raw }) => raw);
  return { ok: true, privateKey: key.export({ format: 'der', type: 'pkcs8' }), certificate: own.raw, chain: chainAbove(own.raw, others) };
}
