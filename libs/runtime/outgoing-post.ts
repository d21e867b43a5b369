import { lookup as resolveName, type LookupAddress, type LookupOptions } from 'node:dns';
import { request as requestByHttp, type ClientRequest, type IncomingMessage } from 'node:http';
import { request as requestByHttps } from 'node:https';
import { isIP, type LookupFunction } from 'node:net';
import { isPublicAddress, networksOf, type Network } from './public-address';

/** From the look-up of the name to the last byte that is read. */
const TIMEOUT_MS = 20_000;
/** Of the answer; what is longer is cut off. */
const MOST_READ_BYTES = 64 * 1024;
const MOST_KEPT_BYTES = 2048;

export type NotAnswered = 'address-not-allowed' | 'name-unknown' | 'not-reached' | 'certificate-refused' | 'timed-out' | 'broken-off';
export type Posted =
  | { readonly kind: 'answered'; readonly status: number; readonly text: string; readonly retryAfter: string | undefined }
  | { readonly kind: 'not-answered'; readonly failure: NotAnswered };

export type Resolve = (hostname: string, options: LookupOptions & { all: true }, callback: (error: NodeJS.ErrnoException | null, addresses: LookupAddress[]) => void) => void;

export type OutgoingOptions = {
  /** Networks that may be reached though they are not public; there by http, too. */
  readonly allowed: readonly Network[];
  readonly timeoutMs?: number;
  /** Looks names up; the system's own when left out. */
  readonly resolve?: Resolve;
};

/** Addresses are the caller's users' own choice: so a request must not reach what only this machine can reach. */
export type Outgoing = {
  /** What can be said of an address before its name is looked up. */
  readonly whyUnreachable: (url: string) => 'not-https' | 'not-public' | null;
  /**
   * Posts a body and waits for the answer. The address that is checked is the one that is connected to: the name is looked up once, in between
   * nobody can give it another one. One that is not allowed among several is enough to refuse. No redirect is followed. Never rejects.
   */
  readonly post: (request: { readonly url: string; readonly headers: { readonly [header: string]: string }; readonly body: string }) => Promise<Posted>;
};

export function outgoing({ allowed, timeoutMs = TIMEOUT_MS, resolve = resolveName }: OutgoingOptions): Outgoing {
  const networks = networksOf(allowed);
  const mayReach = (address: string, isSecure: boolean): boolean => networks.holds(address) || (isSecure && isPublicAddress(address));

  const whyUnreachable: Outgoing['whyUnreachable'] = (text) => {
    const url = new URL(text);
    const isSecure = url.protocol === 'https:';
    const host = hostOf(url);
    if (!isSecure && allowed.length === 0) return 'not-https';
    if (isIP(host) !== 0) return mayReach(host, isSecure) ? null : isSecure || !isPublicAddress(host) ? 'not-public' : 'not-https';
    return /(^|\.)localhost\.?$/i.test(host) && !mayReach('127.0.0.1', isSecure) ? 'not-public' : null;
  };

  return {
    whyUnreachable,
    post: ({ url: text, headers, body }) => {
      const url = new URL(text);
      const isSecure = url.protocol === 'https:';
      // An address that stands in the place of a name is connected to without a look-up.
      if (whyUnreachable(text) !== null) return Promise.resolve({ kind: 'not-answered', failure: 'address-not-allowed' });
      const lookup: LookupFunction = (hostname, options, callback) => {
        resolve(hostname, { ...options, all: true }, (error, addresses) => {
          const [first] = addresses ?? [];
          if (error !== null) callback(error, '', 0);
          else if (first === undefined || !addresses.every(({ address }) => mayReach(address, isSecure))) callback(new AddressNotAllowed(hostname), '', 0);
          else if (options.all === true) callback(null, addresses);
          else callback(null, first.address, first.family);
        });
      };
      const request = (isSecure ? requestByHttps : requestByHttp)(url, {
        method: 'POST',
        headers: { 'user-agent': 'Latchledger', 'content-length': String(Buffer.byteLength(body)), ...headers },
        agent: false,
        lookup,
        signal: AbortSignal.timeout(timeoutMs),
      });
      return answerOf(request, body);
    },
  };
}

class AddressNotAllowed extends Error {
  constructor(hostname: string) {
    super(`${hostname} leads to an address that may not be reached`);
  }
}

function hostOf({ hostname }: URL): string {
  return hostname.replace(/^\[|\]$/g, '');
}

function answerOf(request: ClientRequest, body: string): Promise<Posted> {
  return new Promise((resolve) => {
    let isAnswered = false;
    const fail = (error: unknown): void => {
      if (!isAnswered) resolve({ kind: 'not-answered', failure: failureOf(error) });
    };
    request.on('error', fail);
    // Last of all, and without an error where the other side changes the protocol.
    request.on('close', () => fail(undefined));
    request.on('response', (response) => {
      // Whatever happens from here on: there is an answer, and its status is what counts.
      isAnswered = true;
      void readText(response).then((text) => resolve({ kind: 'answered', status: response.statusCode ?? 0, text, retryAfter: response.headers['retry-after'] }));
    });
    request.end(body);
  });
}

/** The first bytes, as text; what comes before a connection breaks, too. */
function readText(response: IncomingMessage): Promise<string> {
  return new Promise((resolve) => {
    const kept: Buffer[] = [];
    let [read, keptBytes] = [0, 0];
    const end = (): void => resolve(Buffer.concat(kept).toString('utf8'));
    response.on('data', (part: Buffer) => {
      if (keptBytes < MOST_KEPT_BYTES) kept.push(part.subarray(0, MOST_KEPT_BYTES - keptBytes));
      keptBytes = Math.min(MOST_KEPT_BYTES, keptBytes + part.length);
      read += part.length;
      if (read > MOST_READ_BYTES) response.destroy();
    });
    response.on('error', end);
    response.on('close', end);
  });
}

const NAME_CODES = ['ENOTFOUND', 'EAI_AGAIN', 'EAI_NODATA', 'ENODATA', 'EAI_FAIL'];
const UNREACHED_CODES = ['ECONNREFUSED', 'EHOSTUNREACH', 'ENETUNREACH', 'EHOSTDOWN', 'ETIMEDOUT', 'EADDRNOTAVAIL', 'EACCES', 'EPERM'];

function failureOf(error: unknown): NotAnswered {
  if (error instanceof AddressNotAllowed) return 'address-not-allowed';
  const { code = '', name = '' } = (error ?? {}) as { code?: string; name?: string };
  if (name === 'AbortError' || name === 'TimeoutError' || code === 'ABORT_ERR') return 'timed-out';
  if (NAME_CODES.includes(code)) return 'name-unknown';
  if (UNREACHED_CODES.includes(code)) return 'not-reached';
  return /CERT|SELF_SIGNED|^UNABLE_TO_|^ERR_TLS_|^ERR_SSL_|^EPROTO$/.test(code) ? 'certificate-refused' : 'broken-off';
}
