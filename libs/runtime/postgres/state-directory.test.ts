import { mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { sharedStateDirectory } from './state-directory';

let directory: string;
beforeEach(() => (directory = mkdtempSync(join(tmpdir(), 'latchledger-state-'))));
afterEach(() => rmSync(directory, { recursive: true, force: true }));

it('takes the first place that can be written, and lets others pass through without listing it', () => {
  const blocked = join(directory, 'a-file');
  writeFileSync(blocked, '');
  const chosen = sharedStateDirectory([blocked, directory]);
  expect(chosen).toBe(join(directory, 'latchledger'));
  expect(statSync(chosen).mode & 0o777).toBe(0o711);
});

it('names every refusal when no place serves', () => {
  const blocked = join(directory, 'a-file');
  writeFileSync(blocked, '');
  expect(() => sharedStateDirectory([blocked])).toThrow(/No directory .*a-file/);
});
