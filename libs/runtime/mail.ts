import { randomUUID } from 'node:crypto';
import { mkdir, rename, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { createTransport } from 'nodemailer';
import type { Mail } from './configuration';

/** A mail in plain text. Each receiver gets one of their own, so that nobody learns who else does. */
export type Message = {
  readonly to: readonly string[];
  readonly subject: string;
  readonly text: string;
  readonly attachment?: { readonly fileName: string; readonly mediaType: string; readonly bytes: Buffer };
};
export type SendMail = (message: Message) => Promise<void>;

/** A mail server that does not answer must not hold up what waits behind it. */
const TIMEOUT_MS = 20_000;
/** Who mails come from that are only written down. */
const NOBODY = 'latchledger@localhost';

/** How this installation sends mails: over its mail server, or as files (RFC 5322) into a directory. Rejects when one could not be sent. */
export function mailSender(mail: Mail): SendMail {
  const deliver = mail.kind === 'smtp' ? overSmtp(mail) : intoDirectory(mail.directory);
  return async ({ to, subject, text, attachment }) => {
    const attachments = attachment === undefined ? [] : [{ filename: attachment.fileName, contentType: attachment.mediaType, content: attachment.bytes }];
    for (const address of to) await deliver({ to: address, subject, text, attachments });
  };
}

/**
 * What became of a mail to one receiver. `refused`: it surely did not go out, because the server said so, or nobody was reached to take it;
 * `unclear`: the connection was lost when the server may have had it already (RFC 5321 section 4.5.3.2.6 warns of the second copy that trying again makes).
 */
export async function mailOutcome(send: SendMail, message: Message): Promise<'sent' | 'refused' | 'unclear'> {
  try {
    await send(message);
    return 'sent';
  } catch (error) {
    return surelyNotSent(error as SendingError) ? 'refused' : 'unclear';
  }
}

/** What nodemailer and Node's own modules put to an error: the server's answer, the step of the conversation at which it broke off, which wait was too long. */
type SendingError = {
  readonly responseCode?: unknown;
  readonly code?: unknown;
  readonly originalCode?: unknown;
  readonly syscall?: unknown;
  readonly command?: unknown;
  readonly timeoutType?: unknown;
};

/** Steps of RFC 5321 (and of its extensions for security and sign-in) before the mail itself. Not `CONN`, which is said of a connection lost at any step. */
const BEFORE_THE_MAIL = /^(EHLO|HELO|LHLO|STARTTLS|AUTH|MAIL FROM|RCPT TO)/;
/** A server whose certificate is not trusted is told nothing: Node's codes for that, https://nodejs.org/api/tls.html#x509-certificate-error-codes. */
const NOT_TRUSTED = /^(ERR_TLS_|CERT_|CRL_|UNABLE_TO_|ERROR_IN_C|DEPTH_ZERO_|SELF_SIGNED_|INVALID_CA|INVALID_PURPOSE|PATH_LENGTH_|HOSTNAME_MISMATCH)/;

/** The server's answer, a conversation that never came to the mail, a failed look-up of a name, or a system call that comes before any byte of a mail. */
function surelyNotSent({ responseCode, code, originalCode, syscall, command, timeoutType }: SendingError): boolean {
  if (typeof responseCode === 'number' || ['EAUTH', 'EDNS', 'ETLS'].includes(String(code))) return true;
  if (['CONNECT_TIMEOUT', 'GREETING_TIMEOUT', 'UPGRADE_TIMEOUT'].includes(String(timeoutType))) return true;
  if (BEFORE_THE_MAIL.test(String(command)) || NOT_TRUSTED.test(String(originalCode))) return true;
  return ['connect', 'getaddrinfo', 'mkdir', 'open'].includes(String(syscall));
}

type Single = {
  readonly to: string;
  readonly subject: string;
  readonly text: string;
  readonly attachments: { filename: string; contentType: string; content: Buffer }[];
};

function overSmtp({ url, from }: Extract<Mail, { kind: 'smtp' }>): (message: Single) => Promise<void> {
  const transport = createTransport({ url, connectionTimeout: TIMEOUT_MS, greetingTimeout: TIMEOUT_MS, socketTimeout: TIMEOUT_MS });
  return async (message) => void (await transport.sendMail({ ...message, from }));
}

function intoDirectory(directory: string): (message: Single) => Promise<void> {
  const transport = createTransport({ streamTransport: true, buffer: true });
  return async (message) => {
    const { message: bytes } = await transport.sendMail({ ...message, from: NOBODY });
    await mkdir(directory, { recursive: true, mode: 0o700 });
    // Under another name first, so that whoever collects the files finds whole ones only.
    const path = join(directory, randomUUID());
    await writeFile(path, bytes, { mode: 0o600 });
    await rename(path, `${path}.eml`);
  };
}
