/**
 * Time stamps of RFC 3161: what an authority is asked, and the check of the token that it answers with. A token shows that
 * some bytes existed at a time, to whoever trusts the authority. Nothing here needs the network or Node.
 */
import { Integer, ObjectIdentifier, OctetString, Sequence } from 'asn1js';
import {
  AlgorithmIdentifier,
  Certificate,
  ContentInfo,
  ExtKeyUsage,
  IssuerAndSerialNumber,
  MessageImprint,
  SignedData,
  SignedDataVerifyError,
  TimeStampReq,
  TimeStampResp,
  TSTInfo,
} from 'pkijs';
import { sha1 } from '@noble/hashes/legacy';
import { sha256, sha384, sha512 } from '@noble/hashes/sha2';

const OID = {
  sha256: '2.16.840.1.101.3.4.2.1',
  sha384: '2.16.840.1.101.3.4.2.2',
  sha512: '2.16.840.1.101.3.4.2.3',
  signedData: '1.2.840.113549.1.7.2',
  timestampInfo: '1.2.840.113549.1.9.16.1.4',
  signingCertificate: '1.2.840.113549.1.9.16.2.12',
  signingCertificateV2: '1.2.840.113549.1.9.16.2.47',
  extendedKeyUsage: '2.5.29.37',
  timeStamping: '1.3.6.1.5.5.7.3.8',
  commonName: '2.5.4.3',
} as const;

/** PKIStatus (RFC 3161 2.4.2): granted, and granted with changes that the token tells. */
const GRANTED: readonly number[] = [0, 1];

/** What a receiver relies on. Without anchors a token is checked in all but whose it is. */
export type TimestampTrust = {
  /** Certificates that are trusted, DER. */
  readonly anchors: readonly Uint8Array[];
  /** The policy that the authority has to work by, as a dotted object identifier; any when left out. */
  readonly policy?: string;
};

export type Timestamp = {
  readonly stampedAt: Date;
  /** The authority's own number of the token, lower-case hex. */
  readonly serialNumber: string;
  /** Object identifier. */
  readonly policy: string;
  /** The common name in the authority's certificate: what it calls itself. */
  readonly authority: string;
  /** Whether the certificate leads to an anchor; false where there are none to lead to. */
  readonly trusted: boolean;
};

export type TimestampProblem =
  | 'unreadable'
  | 'not-granted'
  | 'other-data'
  | 'other-nonce'
  | 'other-policy'
  | 'not-for-time-stamping'
  | 'certificate-not-bound'
  | 'certificate-not-valid-then'
  | 'signature-wrong'
  | 'chain-not-trusted'
  | 'other-time';

export type TimestampCheck = { readonly ok: true; readonly timestamp: Timestamp } | { readonly ok: false; readonly problem: TimestampProblem };

/** How far the clocks of an authority and of whoever asks it lie apart at most, the time of the answer included. */
export const STAMP_TOLERANCE_MS = 5 * 60 * 1000;

/** An authority that stamps: how it is asked, and what its tokens have to show. Both sides of `ask` are DER (RFC 3161); it rejects where nothing that answers can be reached. */
export type TimestampAuthority = { readonly ask: (request: Uint8Array) => Promise<Uint8Array>; readonly trust: TimestampTrust };

export type Stamped =
  | { readonly ok: true; readonly token: Uint8Array; readonly timestamp: Timestamp }
  | { readonly ok: false; readonly problem: TimestampProblem }
  | { readonly ok: false; readonly problem: 'out-of-reach'; readonly error: unknown };

/** Random bytes in each request: they tie the answer to it. */
const NONCE_BYTES = 16;

type AskedStamp = { readonly data: Uint8Array; readonly randomBytes: (length: number) => Uint8Array; readonly now?: () => Date };

/** Has `data` stamped, and gives the token only if it holds. With `now` its time must be the present as well. */
export async function stamp(authority: TimestampAuthority, { data, randomBytes, now }: AskedStamp): Promise<Stamped> {
  const nonce = randomBytes(NONCE_BYTES);
  const { trust } = authority;
  let response: Uint8Array;
  try {
    response = await authority.ask(timestampRequest({ data, nonce, ...(trust.policy === undefined ? {} : { policy: trust.policy }) }));
  } catch (error) {
    return { ok: false, problem: 'out-of-reach', error };
  }
  const answered = tokenInResponse(response);
  if (!answered.ok) return answered;
  const checked = await checkTimestamp({ token: answered.token, data, nonce, trust });
  if (!checked.ok) return checked;
  const apart = now === undefined ? 0 : Math.abs(checked.timestamp.stampedAt.getTime() - now().getTime());
  return apart > STAMP_TOLERANCE_MS ? { ok: false, problem: 'other-time' } : { ...checked, token: answered.token };
}

/** The DER of a request for a stamp on `data`. The nonce ties the answer to this request; the certificate is asked for, too. */
export function timestampRequest(asked: { data: Uint8Array; nonce: Uint8Array; policy?: string }): Uint8Array {
  const request = new TimeStampReq({
    version: 1,
    messageImprint: new MessageImprint({
      hashAlgorithm: new AlgorithmIdentifier({ algorithmId: OID.sha256 }),
      hashedMessage: new OctetString({ valueHex: sha256(asked.data) }),
    }),
    nonce: nonceInteger(asked.nonce),
    certReq: true,
    ...(asked.policy === undefined ? {} : { reqPolicy: asked.policy }),
  });
  return new Uint8Array(request.toSchema().toBER());
}

/** The token in an authority's answer, DER, or why there is none. */
export function tokenInResponse(response: Uint8Array): { ok: true; token: Uint8Array } | { ok: false; problem: 'unreadable' | 'not-granted' } {
  try {
    const { status, timeStampToken } = TimeStampResp.fromBER(new Uint8Array(response));
    if (!GRANTED.includes(status.status)) return { ok: false, problem: 'not-granted' };
    if (timeStampToken === undefined) return { ok: false, problem: 'unreadable' };
    return { ok: true, token: new Uint8Array(timeStampToken.toSchema().toBER()) };
  } catch {
    return { ok: false, problem: 'unreadable' };
  }
}

/**
 * Checks a token: that it stamps `data` (and answers the request with `nonce`, where one is given), by the policy that is
 * relied on, with a certificate for time stamping and nothing else (RFC 3161 2.3) that the signature names (RFC 5816), that
 * the signature holds, and that the certificate led to an anchor at the time of the stamp.
 */
export async function checkTimestamp(held: {
  token: Uint8Array;
  data: Uint8Array;
  nonce?: Uint8Array;
  trust: TimestampTrust;
}): Promise<TimestampCheck> {
  const { data, nonce, trust } = held;
  const parsed = parseToken(held.token);
  if (parsed === undefined) return { ok: false, problem: 'unreadable' };
  const { signedData, info, certificate } = parsed;
  const wrong = (problem: TimestampProblem): TimestampCheck => ({ ok: false, problem });
  if (!isImprintOf(info, data)) return wrong('other-data');
  if (nonce !== undefined && info.nonce?.isEqual(nonceInteger(nonce)) !== true) return wrong('other-nonce');
  if (trust.policy !== undefined && info.policy !== trust.policy) return wrong('other-policy');
  if (!isForTimeStamping(certificate)) return wrong('not-for-time-stamping');
  if (!isNamedBySignature(signedData, certificate)) return wrong('certificate-not-bound');
  if (info.genTime < certificate.notBefore.value || info.genTime > certificate.notAfter.value) return wrong('certificate-not-valid-then');
  if (!(await verifies(signedData, data, undefined))) return wrong('signature-wrong');
  const trusted = trust.anchors.length > 0;
  if (trusted && !(await verifies(signedData, data, trust.anchors))) return wrong('chain-not-trusted');
  return {
    ok: true,
    timestamp: {
      stampedAt: info.genTime,
      serialNumber: hex(info.serialNumber.valueBlock.valueHexView),
      policy: info.policy,
      authority: commonName(certificate),
      trusted,
    },
  };
}

type ParsedToken = { readonly signedData: SignedData; readonly info: TSTInfo; readonly certificate: Certificate };

function parseToken(token: Uint8Array): ParsedToken | undefined {
  try {
    const outer = ContentInfo.fromBER(new Uint8Array(token));
    if (outer.contentType !== OID.signedData) return undefined;
    const signedData = new SignedData({ schema: outer.content });
    const { eContent, eContentType } = signedData.encapContentInfo;
    const [signer, ...furtherSigners] = signedData.signerInfos;
    if (eContentType !== OID.timestampInfo || eContent === undefined || signer === undefined || furtherSigners.length > 0) return undefined;
    const info = TSTInfo.fromBER(eContent.getValue());
    // pkijs leaves its type open.
    const sid: unknown = signer.sid;
    const certificate = (signedData.certificates ?? []).find(
      (one): one is Certificate =>
        one instanceof Certificate && sid instanceof IssuerAndSerialNumber && sid.issuer.isEqual(one.issuer) && sid.serialNumber.isEqual(one.serialNumber),
    );
    return certificate === undefined ? undefined : { signedData, info, certificate };
  } catch {
    return undefined;
  }
}

/** An INTEGER is signed: a zero before the first byte keeps every nonce positive. */
function nonceInteger(nonce: Uint8Array): Integer {
  const bytes = new Uint8Array(nonce.length + 1);
  bytes.set(nonce, 1);
  const first = bytes.findIndex((byte) => byte !== 0);
  const start = first === -1 ? nonce.length : first;
  const needsZero = (bytes[start] ?? 0) >= 0x80;
  return new Integer({ valueHex: bytes.slice(needsZero ? start - 1 : start) });
}

function isImprintOf(info: TSTInfo, data: Uint8Array): boolean {
  const { hashAlgorithm, hashedMessage } = info.messageImprint;
  return hashAlgorithm.algorithmId === OID.sha256 && hex(hashedMessage.valueBlock.valueHexView) === hex(sha256(data));
}

/** RFC 3161 2.3: one extended key usage, critical. */
function isForTimeStamping(certificate: Certificate): boolean {
  const usage = certificate.extensions?.find(({ extnID }) => extnID === OID.extendedKeyUsage);
  const parsed: unknown = usage?.parsedValue;
  return usage?.critical === true && parsed instanceof ExtKeyUsage && parsed.keyPurposes.length === 1 && parsed.keyPurposes[0] === OID.timeStamping;
}

/** SigningCertificate (RFC 2634 5.4, SHA-1) or SigningCertificateV2 (RFC 5035, SHA-256 where it names none). */
function isNamedBySignature(signedData: SignedData, certificate: Certificate): boolean {
  const attributes = signedData.signerInfos[0]?.signedAttrs?.attributes ?? [];
  const named = attributes.find(({ type }) => type === OID.signingCertificateV2) ?? attributes.find(({ type }) => type === OID.signingCertificate);
  const identifier = firstMember(firstMember(named?.values[0]));
  if (named === undefined || !(identifier instanceof Sequence)) return false;
  const members: readonly unknown[] = identifier.valueBlock.value;
  const hash = members.find((member) => member instanceof OctetString);
  if (hash === undefined) return false;
  const der = new Uint8Array(certificate.toSchema(true).toBER());
  const digest = named.type === OID.signingCertificate ? sha1 : digests.get(namedAlgorithm(members[0]));
  return digest !== undefined && hex(digest(der)) === hex(hash.valueBlock.valueHexView);
}

/** Digests that a SigningCertificateV2 may name. */
const digests = new Map<string, (message: Uint8Array) => Uint8Array>([
  [OID.sha256, sha256],
  [OID.sha384, sha384],
  [OID.sha512, sha512],
]);

function namedAlgorithm(member: unknown): string {
  const algorithm = firstMember(member);
  return algorithm instanceof ObjectIdentifier ? algorithm.valueBlock.toString() : OID.sha256;
}

function firstMember(value: unknown): unknown {
  return value instanceof Sequence ? value.valueBlock.value[0] : undefined;
}

/** Whether the signature holds and, with anchors, its certificate leads to one of them at the time of the stamp. */
async function verifies(signedData: SignedData, data: Uint8Array, anchors: readonly Uint8Array[] | undefined): Promise<boolean> {
  try {
    return await signedData.verify({
      signer: 0,
      // A true copy: slice() of a Node Buffer is the same memory.
      data: new Uint8Array(data).buffer,
      checkChain: anchors !== undefined,
      trustedCerts: (anchors ?? []).map((anchor) => Certificate.fromBER(new Uint8Array(anchor))),
      // Lists of revoked certificates come with few tokens, and are not fetched.
      passedWhenNotRevValues: true,
    });
  } catch (error) {
    if (error instanceof SignedDataVerifyError) return false;
    throw error;
  }
}

function commonName(certificate: Certificate): string {
  const name = certificate.subject.typesAndValues.find(({ type }) => type === OID.commonName);
  return name === undefined ? '' : String(name.value.valueBlock.value);
}

function hex(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
