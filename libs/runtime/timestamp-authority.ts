import { X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';

const TIMEOUT_MS = 10_000;
/** A token with its certificates has a few kilobytes. */
const LONGEST_ANSWER_BYTES = 100_000;

/** Whose time stamps are believed: certificates as DER, none when no file names them, and the policy that is insisted on. */
export type TimestampTrust = { readonly anchors: readonly Uint8Array[]; readonly policy?: string };

/** The authority that is configured, none where it is undefined, and whose stamps are believed. */
export type ConfiguredAuthority = { readonly url: string; readonly trust: TimestampTrust } | undefined;

/** How the configured authority is asked, and whose stamps are believed; undefined where none is configured. */
export function timestampAuthority(configured: ConfiguredAuthority): { readonly ask: (request: Uint8Array) => Promise<Uint8Array>; readonly trust: TimestampTrust } | undefined {
  return configured && { ask: askByHttp(configured.url), trust: configured.trust };
}

/** Carries requests to a time-stamp authority by HTTP (RFC 3161 section 3.4). Rejects when it cannot be reached or gives no answer of its kind. */
export function askByHttp(url: string): (request: Uint8Array) => Promise<Uint8Array> {
  return async (request) => {
    const response = await fetch(url, {
      method: 'POST',
      headers: { 'Content-Type': 'application/timestamp-query', Accept: 'application/timestamp-reply' },
      body: new Uint8Array(request),
      signal: AbortSignal.timeout(TIMEOUT_MS),
    });
    if (!response.ok) throw new Error(`the time-stamp authority answered ${response.status}`);
    const mediaType = response.headers.get('Content-Type')?.split(';')[0]?.trim().toLowerCase();
    if (mediaType !== 'application/timestamp-reply') throw new Error(`the time-stamp authority answered ${mediaType ?? 'without a media type'}`);
    return bytesOf(response);
  };
}

async function bytesOf(response: Response): Promise<Uint8Array> {
  const parts: Uint8Array[] = [];
  let length = 0;
  const body: AsyncIterable<Uint8Array> | null = response.body;
  for await (const part of body ?? []) {
    length += part.length;
    if (length > LONGEST_ANSWER_BYTES) throw new Error(`the time-stamp authority's answer is longer than ${LONGEST_ANSWER_BYTES} bytes`);
    parts.push(part);
  }
  return Buffer.concat(parts);
}

const PEM_CERTIFICATE = /-----BEGIN CERTIFICATE-----[^-]+-----END CERTIFICATE-----/g;

/** The certificates of a PEM file, DER, or a sentence with what is wrong with it. */
export function readCertificates(file: string): { ok: true; certificates: readonly Uint8Array[] } | { ok: false; message: string } {
  try {
    const certificates = (readFileSync(file, 'utf8').match(PEM_CERTIFICATE) ?? []).map((pem) => new X509Certificate(pem).raw);
    return certificates.length === 0 ? { ok: false, message: `names ${file}, which holds no PEM certificate.` } : { ok: true, certificates };
  } catch (error) {
    return { ok: false, message: `names ${file}, which cannot be read as PEM certificates: ${(error as Error).message}.` };
  }
}
