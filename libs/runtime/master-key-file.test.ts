import { chmodSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ensureMasterKeyFile, readMasterKeyFile } from './master-key-file';

let directory: string;
beforeEach(() => (directory = mkdtempSync(join(tmpdir(), 'latchledger-master-key-'))));
afterEach(() => rmSync(directory, { recursive: true, force: true }));

function file(content: string, mode = 0o600): string {
  const path = join(directory, 'master.key');
  writeFileSync(path, content);
  chmodSync(path, mode);
  return path;
}

const key = (byte: number): string => Buffer.alloc(32, byte).toString('base64');

it('makes a key that only its owner can read, once', () => {
  const path = join(directory, 'keys', 'master.key');
  expect(ensureMasterKeyFile(path)).toBe('made');
  const content = readFileSync(path, 'utf8');
  expect(ensureMasterKeyFile(path)).toBe('found');
  expect(readFileSync(path, 'utf8')).toBe(content);
  expect(statSync(path).mode & 0o777).toBe(0o600);
  expect(statSync(join(directory, 'keys')).mode & 0o777).toBe(0o700);
  expect(readMasterKeyFile(path)).toMatchObject({ ok: true, keys: [{ bytes: Buffer.from(content.trim(), 'base64') }] });
});

it('reads the present key first and the replaced ones after it', () => {
  const read = readMasterKeyFile(file(`# made in March\n${key(2)}\n\n${key(1)}\n`));
  expect(read.ok && read.keys.map(({ bytes }) => bytes[0])).toEqual([2, 1]);
});

it.each([
  ['a file that others can read', () => file(key(1), 0o640), /chmod 600/],
  ['a key that is too short', () => file(Buffer.alloc(16).toString('base64')), /line 1 .*32 bytes/],
  ['text that is not base64', () => file(`${key(1)}\n${'ä'.repeat(44)}\n`), /line 2 .*32 bytes/],
  ['a file without a key', () => file('# nothing yet\n'), /holds no key/],
  ['a file that is not there', () => join(directory, 'none'), /does not exist.*openssl rand/],
  ['a directory', () => directory, /EISDIR|chmod/],
])('refuses %s and says what to do', (_name, path, message) => {
  const read = readMasterKeyFile(path());
  expect(read).toEqual({ ok: false, message: expect.stringMatching(message) });
});
