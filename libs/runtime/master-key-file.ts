import { chmodSync, mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import { masterKeyFrom, newKeyBytes, type SecretKey } from './secrets-at-rest';

/** First the key that new data keys are wrapped under, then those that it replaced. */
export type MasterKeys = readonly [SecretKey, ...SecretKey[]];

export type MasterKeyFile =
  | { readonly ok: true; readonly keys: MasterKeys }
  /** One sentence that says what is wrong with the file and what to do. */
  | { readonly ok: false; readonly message: string };

const HOW_TO_MAKE_ONE = 'Make one with: (umask 077 && openssl rand -base64 32 > master.key)';

/** Where container platforms mount secrets; the mode there is theirs to choose, and nothing else reads the mount. */
const SECRET_MOUNT = '/run/secrets/';

/**
 * Reads a file of keys, one per line in base64, the present one first; empty lines and lines that begin with # are
 * passed over. A file that other accounts can read is refused: a key that was readable has to be taken as known.
 */
export function readMasterKeyFile(path: string): MasterKeyFile {
  let content: string;
  try {
    const { mode } = statSync(path);
    if ((mode & 0o077) !== 0 && process.platform !== 'win32' && !path.startsWith(SECRET_MOUNT)) {
      return refused(`${path} can be read by other accounts (mode ${(mode & 0o777).toString(8)}): chmod 600 ${path}`);
    }
    content = readFileSync(path, 'utf8');
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    return refused(code === 'ENOENT' ? `${path} does not exist. ${HOW_TO_MAKE_ONE}` : message);
  }
  const lines = content.split('\n').map((line) => line.trim());
  const keys: SecretKey[] = [];
  for (const [index, line] of lines.entries()) {
    if (line === '' || line.startsWith('#')) continue;
    const bytes = Buffer.from(line, 'base64');
    if (bytes.length !== 32 || bytes.toString('base64').replace(/=+$/, '') !== line.replace(/=+$/, '')) {
      return refused(`line ${index + 1} of ${path} is not 32 bytes in base64. ${HOW_TO_MAKE_ONE}`);
    }
    keys.push(masterKeyFrom(bytes));
  }
  const [present, ...replaced] = keys;
  return present ? { ok: true, keys: [present, ...replaced] } : refused(`${path} holds no key. ${HOW_TO_MAKE_ONE}`);
}

/** Makes the key file of an embedded installation on its first start, and leaves one that exists alone. */
export function ensureMasterKeyFile(path: string): 'made' | 'found' {
  mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
  try {
    writeFileSync(path, `${newKeyBytes().toString('base64')}\n`, { mode: 0o600, flag: 'wx' });
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return 'found';
    throw error;
  }
  chmodSync(path, 0o600);
  return 'made';
}

function refused(message: string): { ok: false; message: string } {
  return { ok: false, message };
}
