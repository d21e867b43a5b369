import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { createServer, type AddressInfo, type Server } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { mailOutcome, mailSender } from './mail';

const message = { to: ['orla@operator.example', 'pim@operator.example'], subject: 'Head of the log, 2026-03-31', text: 'Line one\n  two – with a dash\n' };

describe('into a directory', () => {
  let folder: string;
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), 'latchledger-mail-'));
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));

  it('writes a whole file per receiver, for nobody else to read', async () => {
    const directory = join(folder, 'not', 'there', 'yet');
    await mailSender({ kind: 'directory', directory })(message);
    const files = readdirSync(directory);
    expect(files.map((name) => name.slice(-4))).toEqual(['.eml', '.eml']);
    const texts = files.map((name) => readFileSync(join(directory, name), 'utf8'));
    expect(texts.map((text) => /^To: (.*)$/m.exec(text)?.[1]?.trim()).sort()).toEqual(['orla@operator.example', 'pim@operator.example']);
    for (const text of texts) expect(text).toContain('Subject: Head of the log, 2026-03-31');
    for (const name of files) expect(statSync(join(directory, name)).mode & 0o077).toBe(0);
  });

  it('takes no further header out of a subject', async () => {
    await mailSender({ kind: 'directory', directory: folder })({ ...message, to: ['orla@operator.example'], subject: 'Hello\r\nBcc: everybody@operator.example' });
    const [file = ''] = readdirSync(folder);
    expect(readFileSync(join(folder, file), 'utf8')).not.toMatch(/^Bcc:/m);
  });
});

describe('over a mail server', () => {
  let server: Server;
  let heard: string[];
  let refuses: boolean;
  beforeEach(async () => {
    heard = [];
    refuses = false;
    // As much of RFC 5321 as a sender needs to be heard out.
    server = createServer((socket) => {
      let inData = false;
      socket.write('220 test\r\n');
      socket.on('error', () => undefined);
      socket.on('data', (bytes) => {
        for (const line of bytes.toString('utf8').split('\r\n')) {
          if (inData) {
            if (line === '.') {
              inData = false;
              socket.write('250 taken\r\n');
            } else heard.push(line);
            continue;
          }
          if (line === '') continue;
          heard.push(line);
          const verb = line.slice(0, 4).toUpperCase();
          if (verb === 'RCPT' && refuses) socket.write('550 nobody here\r\n');
          else if (verb === 'DATA') {
            inData = true;
            socket.write('354 go on\r\n');
          } else if (verb === 'QUIT') socket.end('221 bye\r\n');
          else socket.write('250 ok\r\n');
        }
      });
    });
    await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  });
  afterEach(() => new Promise<void>((resolve) => server.close(() => resolve())));

  const sender = () => mailSender({ kind: 'smtp', url: `smtp://127.0.0.1:${(server.address() as AddressInfo).port}`, from: 'ledger@operator.example' });

  it('hands each receiver a mail of their own', async () => {
    await sender()(message);
    expect(heard.filter((line) => line.startsWith('MAIL'))).toEqual(['MAIL FROM:<ledger@operator.example>', 'MAIL FROM:<ledger@operator.example>']);
    expect(heard.filter((line) => line.startsWith('RCPT'))).toEqual(['RCPT TO:<orla@operator.example>', 'RCPT TO:<pim@operator.example>']);
    expect(heard.filter((line) => line === 'Subject: Head of the log, 2026-03-31')).toHaveLength(2);
  });

  it('says when one was not taken', async () => {
    refuses = true;
    await expect(sender()(message)).rejects.toThrow(/rejected|nobody here/);
  });
});

describe('what became of a mail', () => {
  const outcomeOf = (error: object) => mailOutcome(() => Promise.reject(Object.assign(new Error('no'), error)), message);

  it('is known where the server answered or was never reached, and unclear where the connection was lost over it', async () => {
    expect(await mailOutcome(async () => undefined, message)).toBe('sent');
    const lost = { code: 'ESOCKET', command: 'CONN' };
    for (const error of [{ ...lost, originalCode: 'CERT_HAS_EXPIRED' }, { ...lost, originalCode: 'DEPTH_ZERO_SELF_SIGNED_CERT' }, { code: 'ETIMEDOUT', command: 'CONN', timeoutType: 'GREETING_TIMEOUT' }, { code: 'ETLS', command: 'STARTTLS' }, { code: 'EPROTOCOL', command: 'EHLO' }]) expect(await outcomeOf(error)).toBe('refused');
    for (const error of [{ ...lost, originalCode: 'ECONNRESET', syscall: 'read' }, { code: 'ETIMEDOUT', command: 'CONN', timeoutType: 'SOCKET_TIMEOUT' }, { code: 'ECONNECTION', command: 'CONN' }, { code: 'ECONNECTION', command: 'DATA' }]) expect(await outcomeOf(error)).toBe('unclear');
    for (const error of [{ responseCode: 550 }, { code: 'EAUTH' }, { code: 'ESOCKET', syscall: 'connect' }, { syscall: 'mkdir' }]) expect(await outcomeOf(error)).toBe('refused');
    for (const error of [{ code: 'ESOCKET', syscall: 'read' }, { code: 'ETIMEDOUT' }, {}]) expect(await outcomeOf(error)).toBe('unclear');
  });
});
