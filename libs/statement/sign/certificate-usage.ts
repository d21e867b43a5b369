/** What a certificate says it may be used for (RFC 5280 sections 4.2.1.3 and 4.2.1.12). */
import { ExtendedKeyUsageExtension, KeyUsageFlags, KeyUsagesExtension, X509Certificate } from '@peculiar/x509';

/** Purposes under which a reader takes the signature of a document. */
const PURPOSES: ReadonlySet<string> = new Set([
  // anyExtendedKeyUsage and emailProtection, RFC 5280 section 4.2.1.12.
  '2.5.29.37.0',
  '1.3.6.1.5.5.7.3.4',
  // documentSigning, RFC 9336 section 3.1.
  '1.3.6.1.5.5.7.3.36',
  // Two that authorities wrote before there was that one: common practice, no source.
  '1.3.6.1.4.1.311.10.3.12',
  '1.2.840.113583.1.1.5',
]);

/**
 * Whether documents may be signed under a certificate (DER): it restricts nothing, or names digital signatures or the commitment to a content among its
 * key usages, and one of the purposes above where it names purposes. A certificate for a web server, for one, may not.
 */
export function maySignDocuments(certificate: Uint8Array): boolean {
  const read = new X509Certificate(Buffer.from(certificate));
  const usages = read.getExtension(KeyUsagesExtension)?.usages;
  const purposes = read.getExtension(ExtendedKeyUsageExtension)?.usages;
  const signs = usages === undefined || (usages & (KeyUsageFlags.digitalSignature | KeyUsageFlags.nonRepudiation)) !== 0;
  return signs && (purposes === undefined || purposes.some((purpose) => PURPOSES.has(String(purpose))));
}
