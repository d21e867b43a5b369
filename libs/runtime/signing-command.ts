/** Signing with keys that are kept outside this program: in a token, a module, or by another program. */
import { execFile } from 'node:child_process';
import { accessSync, constants, statSync } from 'node:fs';

type Asked = { readonly operatorCode: string; readonly certificateFingerprint: string; readonly message: Uint8Array };
type Answered = { readonly ok: true; readonly signature: Uint8Array } | { readonly ok: false; readonly detail: string };

/** A token answers within a second; a person who would have to touch it for each statement is not waited for. */
const LONGEST_ANSWER_MS = 10_000;

/** An RSA signature under the longest keys in use has 1 kB. */
const LARGEST_ANSWER_BYTES = 16_384;

const LONGEST_COMPLAINT = 300;

/**
 * Has the program at this path sign. It is started for each signature, without a shell, with the operator's code and the fingerprint
 * of the certificate (SHA-256, hexadecimal) as its two arguments and the message on its standard input, and writes the bare
 * signature by SHA-256 to its standard output: for EC a DER ECDSA-Sig-Value (RFC 3279 2.2.3), for RSA an RSASSA-PKCS1-v1_5 block
 * (RFC 8017 8.2). Any other exit status than 0 says that it does not sign; what it wrote to standard error tells why.
 *
 * It is given nothing of our environment but where programs and its home are: passwords of databases are none of its business.
 */
export function signingCommand(path: string, options: { readonly longestAnswerMs?: number } = {}): (asked: Asked) => Promise<Answered> {
  const { PATH, HOME } = process.env;
  const env = { ...(PATH === undefined ? {} : { PATH }), ...(HOME === undefined ? {} : { HOME }) };
  const settings = { env, encoding: 'buffer', timeout: options.longestAnswerMs ?? LONGEST_ANSWER_MS, maxBuffer: LARGEST_ANSWER_BYTES, killSignal: 'SIGKILL' } as const;
  return ({ operatorCode, certificateFingerprint, message }) =>
    new Promise((resolve) => {
      const running = execFile(path, [operatorCode, certificateFingerprint], settings, (error, output, complaint) => {
        if (error === null) resolve({ ok: true, signature: new Uint8Array(output) });
        else resolve({ ok: false, detail: whyNot(error, complaint) });
      });
      // Who reads nothing closes its input; what becomes of that, its answer tells.
      running.stdin?.on('error', () => undefined);
      running.stdin?.end(message);
    });
}

function whyNot(error: { readonly code?: string | number | null | undefined; readonly killed?: boolean | undefined }, complaint: Buffer): string {
  const said = complaint.toString('utf8').replace(/\s+/g, ' ').trim().slice(0, LONGEST_COMPLAINT);
  const ended = error.code === 'ERR_CHILD_PROCESS_STDIO_MAXBUFFER' ? 'it wrote more than any signature has' : error.killed === true ? 'it did not answer in time' : `it ended with ${String(error.code)}`;
  return said === '' ? ended : `${ended}, saying "${said}"`;
}

/** Whether there is a program at this path that this process may run. */
export function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return statSync(path).isFile();
  } catch {
    return false;
  }
}
