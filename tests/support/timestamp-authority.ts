/** A time-stamp authority of a test's own, run by `openssl ts` in a folder that is removed with it. */
import { randomBytes } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { SignatureStamp } from '#statement/sign/cms';
import { stamp, type TimestampAuthority as AskedAuthority } from '#statement/sign/timestamp';
import { runProgram } from './outside-program';

export const AUTHORITY_POLICY = '1.3.6.1.4.1.99999.1';

export interface TimestampAuthority {
  /** Its topmost certificate, DER and PEM. */
  readonly anchor: Uint8Array;
  readonly anchorPem: string;
  /** The answer to a request, both DER. */
  readonly answer: (request: Uint8Array) => Uint8Array;
  /** Whether `openssl ts -verify` takes the token for one on these bytes. */
  readonly verifies: (stamped: { token: Uint8Array; data: Uint8Array }) => boolean;
  readonly close: () => void;
}

/** How the authority is asked, by whoever trusts it. */
export function asked({ answer, anchor }: Pick<TimestampAuthority, 'answer' | 'anchor'>): AskedAuthority {
  return { ask: async (request) => answer(request), trust: { anchors: [anchor], policy: AUTHORITY_POLICY } };
}

/** Stamps signatures as an installation with this authority would. */
export function stampingBy(authority: Pick<TimestampAuthority, 'answer' | 'anchor'>): (signature: Uint8Array) => Promise<SignatureStamp> {
  return async (signature) => {
    const stamped = await stamp(asked(authority), { data: signature, randomBytes });
    if (!stamped.ok) throw new Error(stamped.problem);
    return stamped;
  };
}

/** `usage`: extended key usage of its certificate; an authority has `critical,timeStamping` and nothing else. */
export function startTimestampAuthority(options: { name?: string; usage?: string } = {}): TimestampAuthority {
  const folder = mkdtempSync(join(tmpdir(), 'latchledger-authority-'));
  const openssl = (...words: string[]): void => {
    const run = runProgram('openssl', words, { cwd: folder });
    if (run.exitCode !== 0) throw new Error(run.stderr);
  };
  const write = (name: string, content: string | Uint8Array): void => writeFileSync(join(folder, name), content);
  write('usage.cnf', `extendedKeyUsage=${options.usage ?? 'critical,timeStamping'}\nkeyUsage=critical,digitalSignature\n`);
  write(
    'authority.cnf',
    [
      '[tsa]', 'default_tsa = authority', '[authority]', 'serial = ./serial', 'signer_cert = ./tsa.crt', 'signer_key = ./tsa.key', 'certs = ./root.crt',
      `default_policy = ${AUTHORITY_POLICY}`, 'digests = sha256', 'signer_digest = sha256', 'ess_cert_id_alg = sha256', '',
    ].join('\n'),
  );
  const newKey = ['-newkey', 'ec', '-pkeyopt', 'ec_paramgen_curve:prime256v1', '-nodes'];
  openssl('req', '-x509', ...newKey, '-keyout', 'root.key', '-out', 'root.crt', '-days', '3650', '-subj', '/CN=Root of a test', '-addext', 'keyUsage=critical,keyCertSign');
  openssl('req', '-utf8', ...newKey, '-keyout', 'tsa.key', '-out', 'tsa.csr', '-subj', `/CN=${options.name ?? 'Clock of a test'}`);
  openssl('x509', '-req', '-in', 'tsa.csr', '-CA', 'root.crt', '-CAkey', 'root.key', '-CAcreateserial', '-days', '3650', '-extfile', 'usage.cnf', '-out', 'tsa.crt');
  openssl('x509', '-in', 'root.crt', '-outform', 'DER', '-out', 'root.der');
  return {
    anchor: readFileSync(join(folder, 'root.der')),
    anchorPem: readFileSync(join(folder, 'root.crt'), 'utf8'),
    answer: (request) => {
      write('request.tsq', request);
      openssl('ts', '-reply', '-config', 'authority.cnf', '-queryfile', 'request.tsq', '-out', 'response.tsr');
      return readFileSync(join(folder, 'response.tsr'));
    },
    verifies: ({ token, data }) => {
      write('token.der', token);
      write('data', data);
      const words = ['ts', '-verify', '-token_in', '-in', 'token.der', '-data', 'data', '-CAfile', 'root.crt'];
      return runProgram('openssl', words, { cwd: folder }).stdout.includes('Verification: OK');
    },
    close: () => rmSync(folder, { recursive: true, force: true }),
  };
}
