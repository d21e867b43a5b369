/** A certificate that an operator makes for itself, for statements whose receivers are given its fingerprint in print. */
import { Name, SubjectKeyIdentifierExtension, X509CertificateGenerator } from '@peculiar/x509';
import { webcrypto } from 'node:crypto';

export interface OperatorCertificate {
  /** PKCS#8 DER: to be encrypted before it is stored. */
  readonly privateKey: Uint8Array;
  /** DER. */
  readonly certificate: Uint8Array;
}

// X.520 upper bounds (RFC 5280 appendix A.1, ub-common-name and ub-organization-name).
const LONGEST_NAME = 64;
const P256 = { name: 'ECDSA', namedCurve: 'P-256', hash: 'SHA-256' } as const;

/**
 * Makes a P-256 key and a self-signed certificate for digital signatures. `serial` is 1 to 40 hex digits, not zero.
 *
 * It restricts nothing: no extended key usage, because readers differ in the ones they demand, and no basic constraints or
 * key usage, because readers built on NSS (tried with poppler 22.12) let a receiver trust a self-signed certificate only
 * if it is without both or an authority, and an authority could then vouch for others.
 */
export async function makeOperatorCertificate(request: {
  operatorName: string;
  validFrom: Date;
  validTo: Date;
  serial: string;
}): Promise<OperatorCertificate> {
  if (!/^(?=.*[1-9a-f])[0-9a-f]{1,40}$/i.test(request.serial)) throw new Error('a serial number is 1 to 40 hex digits and not zero');
  const keys = await webcrypto.subtle.generateKey(P256, true, ['sign', 'verify']);
  const name = Array.from(request.operatorName).slice(0, LONGEST_NAME).join('');
  const certificate = await X509CertificateGenerator.createSelfSigned(
    {
      serialNumber: request.serial.padStart(request.serial.length + (request.serial.length % 2), '0'),
      // Typed as UTF-8 outright: left to itself the library would read a leading # as hex and quotes as syntax.
      name: new Name([{ CN: [{ utf8String: name }] }, { O: [{ utf8String: name }] }]),
      notBefore: request.validFrom,
      notAfter: request.validTo,
      signingAlgorithm: P256,
      keys,
      extensions: [await SubjectKeyIdentifierExtension.create(keys.publicKey)],
    },
    webcrypto,
  );
  const privateKey = await webcrypto.subtle.exportKey('pkcs8', keys.privateKey);
  return { privateKey: new Uint8Array(privateKey), certificate: new Uint8Array(certificate.rawData) };
}
