/**
 * Checks the signature of a statement with nothing but the file: runs in Node and in the browser, sends nothing anywhere.
 * It says whether the signature is right and whose certificate made it. Whether that certificate is the operator's is for
 * the receiver to say, by comparing the fingerprint with the one given in print.
 */
import { locateSignature, textOf, type LocatedSignature } from '#statement/sign/byte-range';
import { checkTimestamp, type TimestampCheck, type TimestampTrust } from '#statement/sign/timestamp';
import { sha256 } from '@noble/hashes/sha2';
import { concatBytes } from '@noble/hashes/utils';
import { Constructed, fromBER, Integer, ObjectIdentifier, OctetString, Sequence } from 'asn1js';
import { Certificate, ContentInfo, IssuerAndSerialNumber, SignedData, SignedDataVerifyError, type SignerInfo } from 'pkijs';

export interface SignatureReport {
  /** Whether the bytes that the signature covers are those that were signed with this certificate's key. */
  readonly signatureValid: boolean;
  /** Whether it covers all of the file but itself. If not, the rest may say anything. */
  readonly coversWholeFile: boolean;
  /** Whether the signature names this very certificate (signing-certificate-v2), as PAdES demands. */
  readonly bindsCertificate: boolean;
  /** SHA-256 of the certificate, lower-case hex. */
  readonly certificateFingerprint: string;
  /** The common name in the certificate: what the signer calls itself. */
  readonly signerName: string;
  /** From when until when the certificate is valid, by itself. */
  readonly validFrom: Date;
  readonly validTo: Date;
  /** SHA-256 of the file as it is, and of the file before it was signed; lower-case hex. */
  readonly fileDigest: string;
  readonly unsignedDigest: string;
  /** The time stamp on the signature, checked in all but whose it is; absent where it carries none. */
  readonly timestamp: TimestampCheck | undefined;
}

export type SignatureProblem = Exclude<LocatedSignature, { ok: true }>['problem'] | 'signature-unreadable';

export type SignatureCheck = { readonly found: true; readonly report: SignatureReport } | { readonly found: false; readonly problem: SignatureProblem };

const OID = {
  data: '1.2.840.113549.1.7.1',
  signedData: '1.2.840.113549.1.7.2',
  contentType: '1.2.840.113549.1.9.3',
  signingCertificateV2: '1.2.840.113549.1.9.16.2.47',
  sha256: '2.16.840.1.101.3.4.2.1',
  ecdsaWithSha256: '1.2.840.10045.4.3.2',
  signatureTimeStampToken: '1.2.840.113549.1.9.16.2.14',
  commonName: '2.5.4.3',
} as const;

const CONTEXT_CLASS = 3;

/** Whether everything that a signature can show is shown: the short answer. */
export function isSound(report: SignatureReport): boolean {
  return report.signatureValid && report.coversWholeFile && report.bindsCertificate;
}

/** With `trust` a time stamp on the signature also has to be of an authority that is relied on. */
export async function checkSignature(pdf: Uint8Array, { trust = { anchors: [] } }: { trust?: TimestampTrust } = {}): Promise<SignatureCheck> {
  const located = locateSignature(pdf);
  if (!located.ok) return { found: false, problem: located.problem };
  const { hole } = located;
  const cms = parseCms(hexBytes(textOf(pdf.subarray(hole.start + 1, hole.end - 1))));
  if (cms === undefined) return { found: false, problem: 'signature-unreadable' };
  const content = concatBytes(pdf.subarray(0, hole.start), pdf.subarray(hole.end, located.signedEnd));
  const certificateFingerprint = hex(sha256(cms.certificateDer));
  return {
    found: true,
    report: {
      signatureValid: isDetachedSha256(cms) && (await verifies(cms.signedData, content)),
      coversWholeFile: located.coversWholeFile,
      bindsCertificate: namedCertificateHash(cms.signerInfo) === certificateFingerprint,
      certificateFingerprint,
      signerName: commonName(cms.certificate),
      validFrom: cms.certificate.notBefore.value,
      validTo: cms.certificate.notAfter.value,
      fileDigest: hex(sha256(pdf)),
      unsignedDigest: hex(sha256(withEmptyHole(pdf.subarray(0, located.signedEnd), hole))),
      timestamp: cms.token === undefined ? undefined : await checkTimestamp({ token: cms.token, data: cms.signerInfo.signature.valueBlock.valueHexView, trust }),
    },
  };
}

interface ParsedCms {
  readonly signedData: SignedData;
  readonly signerInfo: SignerInfo;
  readonly certificate: Certificate;
  /** The certificate's bytes as they stand in the file: encoding it anew could give others, and another fingerprint. */
  readonly certificateDer: Uint8Array;
  /** The time stamp on the signature, DER. */
  readonly token: Uint8Array | undefined;
}

/** The DER at the start of the bytes. What follows must be the zeros that fill up the room: nothing may hide there. */
function parseCms(bytes: Uint8Array): ParsedCms | undefined {
  let signedData: SignedData;
  let certificateElements: AsnElement[];
  try {
    // asn1js answers some broken input with offset -1 and throws on other.
    const parsed = fromBER(bytes);
    if (parsed.offset === -1 || bytes.subarray(parsed.offset).some((byte) => byte !== 0)) return undefined;
    const outer = new ContentInfo({ schema: parsed.result });
    if (outer.contentType !== OID.signedData) return undefined;
    signedData = new SignedData({ schema: outer.content });
    certificateElements = elementsOfCertificates(outer.content);
    if (!isAsWritten(signedData, bytes.subarray(0, parsed.offset))) return undefined;
  } catch {
    return undefined;
  }
  const [signerInfo, ...furtherSigners] = signedData.signerInfos;
  if (signerInfo === undefined || furtherSigners.length > 0) return undefined;
  const unsigned = tokenOf(signerInfo);
  if (!unsigned.ok) return undefined;
  for (const [position, certificate] of (signedData.certificates ?? []).entries()) {
    const element = certificateElements[position];
    if (certificate instanceof Certificate && element !== undefined && isSignerOf(signerInfo, certificate)) {
      return { signedData, signerInfo, certificate, certificateDer: element.valueBeforeDecodeView, token: unsigned.token };
    }
  }
  return undefined;
}

/** The one unsigned attribute that there may be: anybody could put others there, for whatever they say. */
function tokenOf({ unsignedAttrs }: SignerInfo): { ok: true; token: Uint8Array | undefined } | { ok: false } {
  if (unsignedAttrs === undefined) return { ok: true, token: undefined };
  const [attribute, ...further] = unsignedAttrs.attributes;
  const values: readonly unknown[] = attribute?.values ?? [];
  const [value] = values;
  if (attribute?.type !== OID.signatureTimeStampToken || further.length > 0 || values.length !== 1 || !(value instanceof Sequence)) return { ok: false };
  return { ok: true, token: value.valueBeforeDecodeView };
}

/**
 * Whether the bytes are the one DER form of what was read from them, with the versions and algorithms that RFC 5652 and
 * PAdES B-B leave no choice in. The signature does not cover these parts; held to one form, they cannot vary either.
 */
function isAsWritten(signedData: SignedData, der: Uint8Array): boolean {
  const again = new ContentInfo({ contentType: OID.signedData, content: signedData.toSchema(true) }).toSchema().toBER();
  return (
    hex(new Uint8Array(again)) === hex(der) &&
    signedData.version === 1 &&
    signedData.signerInfos.every(({ version }) => version === 1) &&
    signedData.digestAlgorithms.length === 1 &&
    signedData.digestAlgorithms.every(({ algorithmId }) => algorithmId === OID.sha256) &&
    signedData.signerInfos.every(isSignatureAsWritten)
  );
}

/** An ECDSA signature is two integers in DER (RFC 3279 2.2.3); pkijs reads the numbers whatever they are marked as. */
function isSignatureAsWritten(signerInfo: SignerInfo): boolean {
  if (signerInfo.signatureAlgorithm.algorithmId !== OID.ecdsaWithSha256) return true;
  const der = signerInfo.signature.valueBlock.valueHexView;
  const result: unknown = fromBER(der).result;
  if (!(result instanceof Sequence) || result.valueBlock.value.length !== 2) return false;
  return result.valueBlock.value.every((number) => number instanceof Integer) && hex(new Uint8Array(result.toBER())) === hex(der);
}

type AsnElement = { readonly valueBeforeDecodeView: Uint8Array };

/** The members of `certificates [0]` of a SignedData (RFC 5652 5.1), in file order, as pkijs lists them. */
function elementsOfCertificates(signedData: unknown): AsnElement[] {
  if (!(signedData instanceof Sequence)) return [];
  const certificates = signedData.valueBlock.value.find(
    (member) => member instanceof Constructed && member.idBlock.tagClass === CONTEXT_CLASS && member.idBlock.tagNumber === 0,
  );
  return certificates instanceof Constructed ? certificates.valueBlock.value : [];
}

function isSignerOf(signerInfo: SignerInfo, certificate: Certificate): boolean {
  // pkijs leaves its type open.
  const sid: unknown = signerInfo.sid;
  return (
    sid instanceof IssuerAndSerialNumber && sid.issuer.isEqual(certificate.issuer) && sid.serialNumber.isEqual(certificate.serialNumber)
  );
}

async function verifies(signedData: SignedData, content: Uint8Array): Promise<boolean> {
  try {
    return await signedData.verify({ signer: 0, data: content.slice().buffer, checkChain: false });
  } catch (error) {
    if (error instanceof SignedDataVerifyError) return false;
    throw error;
  }
}

/**
 * pkijs would verify a content carried inside the signature in place of the file, and weak digests: both are ruled out
 * here. Signed attributes must be there too, or the certificate would not be bound.
 */
function isDetachedSha256({ signedData, signerInfo }: ParsedCms): boolean {
  const content = signedData.encapContentInfo;
  const contentType = attributeValue(signerInfo, OID.contentType);
  return (
    content.eContent === undefined &&
    content.eContentType === OID.data &&
    signerInfo.digestAlgorithm.algorithmId === OID.sha256 &&
    contentType instanceof ObjectIdentifier &&
    contentType.valueBlock.toString() === OID.data
  );
}

/** The value of an attribute that is there once, with one value. */
function attributeValue(signerInfo: SignerInfo, type: string): unknown {
  const found = signerInfo.signedAttrs?.attributes.filter((attribute) => attribute.type === type) ?? [];
  return found.length === 1 && found[0]?.values.length === 1 ? found[0].values[0] : undefined;
}

/** The first hash of SigningCertificateV2 (RFC 5035), if it is of the default algorithm SHA-256. */
function namedCertificateHash(signerInfo: SignerInfo): string | undefined {
  let value = attributeValue(signerInfo, OID.signingCertificateV2);
  for (let depth = 0; depth < 3; depth += 1) {
    if (!(value instanceof Sequence)) return undefined;
    value = value.valueBlock.value[0];
  }
  return value instanceof OctetString ? hex(value.valueBlock.valueHexView) : undefined;
}

function commonName(certificate: Certificate): string {
  const name = certificate.subject.typesAndValues.find(({ type }) => type === OID.commonName);
  return name === undefined ? '' : String(name.value.valueBlock.value);
}

function withEmptyHole(pdf: Uint8Array, hole: { start: number; end: number }): Uint8Array {
  // A true copy: slice() of a Node Buffer is the same memory.
  const zeroed = new Uint8Array(pdf);
  zeroed.fill('0'.charCodeAt(0), hole.start + 1, hole.end - 1);
  return zeroed;
}

function hexBytes(text: string): Uint8Array {
  return Uint8Array.from({ length: text.length / 2 }, (_, index) => parseInt(text.slice(2 * index, 2 * index + 2), 16));
}

function hex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
