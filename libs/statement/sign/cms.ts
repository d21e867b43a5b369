/**
 * The CMS of a PAdES baseline B-B signature (ETSI EN 319 142-1, RFC 5652, RFC 5035): detached, SHA-256, with exactly the
 * signed attributes content-type, message-digest and signing-certificate-v2. No signing-time: PAdES forbids it. With a time
 * stamp on the signature it is B-T: the token is the one unsigned attribute (ETSI EN 319 122-1 section 5.3, from memory).
 */
import type { Signature, Signer, SignatureAlgorithm } from '#statement/sign/signer';
import type { TimestampProblem } from '#statement/sign/timestamp';
import { fromBER, Null, ObjectIdentifier, OctetString, Sequence } from 'asn1js';
import { createHash } from 'node:crypto';
import {
  AlgorithmIdentifier,
  Attribute,
  Certificate,
  ContentInfo,
  EncapsulatedContentInfo,
  IssuerAndSerialNumber,
  SignedAndUnsignedAttributes,
  SignedData,
  SignerInfo,
} from 'pkijs';

const OID = {
  data: '1.2.840.113549.1.7.1',
  signedData: '1.2.840.113549.1.7.2',
  contentType: '1.2.840.113549.1.9.3',
  messageDigest: '1.2.840.113549.1.9.4',
  signingCertificateV2: '1.2.840.113549.1.9.16.2.47',
  signatureTimeStampToken: '1.2.840.113549.1.9.16.2.14',
  sha256: '2.16.840.1.101.3.4.2.1',
} as const;

const SIGNED_ATTRIBUTES = 0;
const UNSIGNED_ATTRIBUTES = 1;
const SET_TAG = 0x31;

/** What depends on the signer alone; parsing certificates took most of the time of a signature. */
interface SignerParts {
  readonly certificates: readonly Certificate[];
  readonly sid: IssuerAndSerialNumber;
  readonly constantAttributes: readonly Attribute[];
}

const partsBySigner = new WeakMap<Signer, SignerParts>();

/** A token (RFC 3161, DER) on the bytes of a signature, or why there is none. */
export type SignatureStamp =
  | { readonly ok: true; readonly token: Uint8Array }
  | { readonly ok: false; readonly problem: 'not-stamped'; readonly why: TimestampProblem | 'out-of-reach' | 'no-authority'; readonly detail: string };

type ToSign = { readonly contentDigest: Uint8Array; readonly signer: Signer };
type ToSignAndStamp = ToSign & { readonly stampSignature: ((signature: Uint8Array) => Promise<SignatureStamp>) | undefined };
type Signed<Problem> = { readonly ok: true; readonly cms: Uint8Array } | Extract<Problem, { ok: false }>;

/** The DER of the signature over content with this SHA-256, stamped where `stampSignature` is given; or why signer or authority gave none. */
export function signCms(request: ToSign): Promise<Signed<Signature>>;
export function signCms(request: ToSignAndStamp): Promise<Signed<Signature | SignatureStamp>>;
export async function signCms(request: ToSign & Partial<ToSignAndStamp>): Promise<Signed<Signature | SignatureStamp>> {
  const { contentDigest, signer, stampSignature } = request;
  const { certificates, sid, constantAttributes } = partsOf(signer);
  const messageDigest = new Attribute({ type: OID.messageDigest, values: [new OctetString({ valueHex: contentDigest })] });
  const attributes = inDerOrder([...constantAttributes, messageDigest]);
  const signedAttrs = new SignedAndUnsignedAttributes({ type: SIGNED_ATTRIBUTES, attributes });

  // RFC 5652 5.4: they are signed as a SET OF, but sent under an implicit tag.
  const toSign = new Uint8Array(signedAttrs.toSchema().toBER());
  toSign[0] = SET_TAG;
  const signed = await signer.sign(toSign);
  if (!signed.ok) return signed;
  const stamped = await stampSignature?.(signed.signature);
  if (stamped?.ok === false) return stamped;

  const signedData = new SignedData({
    version: 1,
    digestAlgorithms: [sha256()],
    encapContentInfo: new EncapsulatedContentInfo({ eContentType: OID.data }),
    certificates: [...certificates],
    signerInfos: [
      new SignerInfo({
        version: 1,
        sid,
        digestAlgorithm: sha256(),
        signedAttrs,
        signatureAlgorithm: signatureAlgorithm(signer.algorithm),
        signature: new OctetString({ valueHex: signed.signature }),
        ...(stamped === undefined ? {} : { unsignedAttrs: new SignedAndUnsignedAttributes({ type: UNSIGNED_ATTRIBUTES, attributes: [tokenAttribute(stamped.token)] }) }),
      }),
    ],
  });
  return { ok: true, cms: new Uint8Array(new ContentInfo({ contentType: OID.signedData, content: signedData.toSchema(true) }).toSchema().toBER()) };
}

function tokenAttribute(token: Uint8Array): Attribute {
  return new Attribute({ type: OID.signatureTimeStampToken, values: [fromBER(token).result] });
}

function partsOf(signer: Signer): SignerParts {
  const known = partsBySigner.get(signer);
  if (known !== undefined) return known;
  const certificate = Certificate.fromBER(signer.certificate);
  const parts: SignerParts = {
    certificates: [certificate, ...signer.chain.map((above) => Certificate.fromBER(above))],
    sid: new IssuerAndSerialNumber({ issuer: certificate.issuer, serialNumber: certificate.serialNumber }),
    constantAttributes: [
      new Attribute({ type: OID.contentType, values: [new ObjectIdentifier({ value: OID.data })] }),
      new Attribute({ type: OID.signingCertificateV2, values: [signingCertificateV2(signer.certificate)] }),
    ],
  };
  partsBySigner.set(signer, parts);
  return parts;
}

/**
 * SigningCertificateV2 of RFC 5035: binds the signature to this very certificate, not merely to its key. The hash
 * algorithm is left out because SHA-256 is its default, which DER does not write.
 */
function signingCertificateV2(certificate: Uint8Array): Sequence {
  const certificateHash = new OctetString({ valueHex: createHash('sha256').update(certificate).digest() });
  const essCertIdV2 = new Sequence({ value: [certificateHash] });
  return new Sequence({ value: [new Sequence({ value: [essCertIdV2] })] });
}

/** A DER SET OF is ordered by the bytes of its members (X.690 section 11.6). */
function inDerOrder(attributes: readonly Attribute[]): Attribute[] {
  return attributes
    .map((attribute) => ({ attribute, der: Buffer.from(attribute.toSchema().toBER()) }))
    .sort((left, right) => Buffer.compare(left.der, right.der))
    .map(({ attribute }) => attribute);
}

function sha256(): AlgorithmIdentifier {
  return new AlgorithmIdentifier({ algorithmId: OID.sha256 });
}

/** RFC 5754 section 3: ECDSA has no parameters, RSA has NULL. */
function signatureAlgorithm(algorithm: SignatureAlgorithm): AlgorithmIdentifier {
  return algorithm === 'ecdsa-with-sha256'
    ? new AlgorithmIdentifier({ algorithmId: '1.2.840.10045.4.3.2' })
    : new AlgorithmIdentifier({ algorithmId: '1.2.840.113549.1.1.11', algorithmParams: new Null() });
}
