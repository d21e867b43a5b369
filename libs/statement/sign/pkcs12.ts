/** Reading the operator's own key and certificates from a PKCS#12 file (RFC 7292), RSA and EC alike. */
import { createPrivateKey, createPublicKey, X509Certificate } from 'node:crypto';
import { runInNewContext } from 'node:vm';
import { asn1, pkcs12, pki } from 'node-forge';

export type Pkcs12Contents = {
  /** PKCS#8 DER: to be encrypted before it is stored. */
  readonly privateKey: Uint8Array;
  /** DER of the certificate that belongs to the key. */
  readonly certificate: Uint8Array;
  /** DER of the others, each signed by the next as far as the file goes. */
  readonly chain: readonly Uint8Array[];
};

export type ReadPkcs12Result =
  | ({ readonly ok: true } & Pkcs12Contents)
  | { readonly ok: false; readonly problem: 'not-a-pkcs12-file' | 'takes-too-long' | 'wrong-password' | 'no-private-key' | 'several-private-keys' | 'no-certificate-for-the-key' };

/**
 * Opens the file. node-forge undoes the containers and their passwords, old and new algorithms alike; it knows RSA only,
 * but hands over what it cannot parse, and node:crypto reads the keys themselves.
 */
export function readPkcs12(file: Uint8Array, password: string): ReadPkcs12Result {
  const outer = parseDer(file);
  if (outer === undefined) return { ok: false, problem: 'not-a-pkcs12-file' };
  const opened = open(outer, password);
  if (typeof opened === 'string') return { ok: false, problem: opened };
  try {
    return contentsOf(opened);
  } catch {
    // A container in order may hold a key or a certificate that is none; node:crypto and node-forge say so by throwing.
    return { ok: false, problem: 'not-a-pkcs12-file' };
  }
}

function contentsOf(opened: pkcs12.Pkcs12Pfx): ReadPkcs12Result {
  const bags = opened.safeContents.flatMap((contents) => contents.safeBags);
  const keys = bags.filter((bag) => bag.type === pki.oids['pkcs8ShroudedKeyBag'] || bag.type === pki.oids['keyBag']).map(keyDer);
  const [key] = keys;
  if (key === undefined) return { ok: false, problem: 'no-private-key' };
  if (keys.length > 1) return { ok: false, problem: 'several-private-keys' };

  const certificates = bags.filter((bag) => bag.type === pki.oids['certBag']).map(certificateDer);
  const publicKey = createPublicKey(createPrivateKey({ key, format: 'der', type: 'pkcs8' }));
  const certificate = certificates.find((der) => new X509Certificate(der).publicKey.equals(publicKey));
  if (certificate === undefined) return { ok: false, problem: 'no-certificate-for-the-key' };
  const others = certificates.filter((der) => der !== certificate);
  return { ok: true, privateKey: key, certificate, chain: chainAbove(certificate, others) };
}

/** Hashing a password as often as its usual makers have it hashed takes some 10 ms; a busy machine may need many times that. */
const LONGEST_OPENING_MS = 2_000;

function open(outer: asn1.Asn1, password: string): pkcs12.Pkcs12Pfx | 'wrong-password' | 'takes-too-long' | 'not-a-pkcs12-file' {
  try {
    return inTime(() => pkcs12.pkcs12FromAsn1(outer, false, password));
  } catch (error) {
    if (isOvertime(error)) return 'takes-too-long';
    if (says(error, /MAC could not be verified/)) return 'wrong-password';
  }
  // The password was right for the file's MAC, which takes it as UTF-16. Its newer encryptions take it as UTF-8
  // (RFC 8018), where node-forge knows one byte a letter only: so once more with the bytes, the MAC left out as checked.
  try {
    return inTime(() => pkcs12.pkcs12FromAsn1(withoutMac(outer), false, Buffer.from(password, 'utf8').toString('latin1')));
  } catch (error) {
    if (isOvertime(error)) return 'takes-too-long';
    return says(error, /wrong password/) ? 'wrong-password' : 'not-a-pkcs12-file';
  }
}

/**
 * The file itself says how often the password is hashed, in up to three places of which one lies encrypted in another, and
 * node-forge obeys without end: a file of 3 kB could hold up everybody's requests for hours. V8 stops it instead.
 */
function inTime<Value>(work: () => Value): Value {
  return runInNewContext('work()', { work }, { timeout: LONGEST_OPENING_MS }) as Value;
}

function isOvertime(error: unknown): boolean {
  return typeof error === 'object' && error !== null && 'code' in error && error.code === 'ERR_SCRIPT_EXECUTION_TIMEOUT';
}

/** PFX without its third member, macData (RFC 7292 section 4). */
function withoutMac(outer: asn1.Asn1): asn1.Asn1 {
  return Array.isArray(outer.value) ? { ...outer, value: outer.value.slice(0, 2) } : outer;
}

function parseDer(file: Uint8Array): asn1.Asn1 | undefined {
  try {
    return asn1.fromDer(Buffer.from(file).toString('latin1'));
  } catch {
    return undefined;
  }
}

/** node-forge tells a wrong password from a broken file by the text of its error only. */
function says(error: unknown, text: RegExp): boolean {
  return error instanceof Error && text.test(error.message);
}

function keyDer(bag: pkcs12.Bag): Buffer {
  // RSA keys come parsed, others as PKCS#8.
  return bag.key ? derOf(pki.wrapRsaPrivateKey(pki.privateKeyToAsn1(bag.key))) : derOf(bag.asn1);
}

function certificateDer(bag: pkcs12.Bag): Buffer {
  return bag.cert ? derOf(pki.certificateToAsn1(bag.cert)) : derOf(bag.asn1);
}

function derOf(value: asn1.Asn1): Buffer {
  return Buffer.from(asn1.toDer(value).getBytes(), 'latin1');
}

/** Of some certificates those above one, each having signed the one before, as far as they go. All DER. */
export function chainAbove(certificate: Buffer, others: readonly Buffer[]): Buffer[] {
  const chain: Buffer[] = [];
  let below = new X509Certificate(certificate);
  for (;;) {
    const issuer = others.find((der) => !chain.includes(der) && below.checkIssued(new X509Certificate(der)));
    if (issuer === undefined) return chain;
    chain.push(issuer);
    below = new X509Certificate(issuer);
  }
}
