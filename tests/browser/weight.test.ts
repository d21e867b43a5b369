import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { builtConsole } from './support/built-console';

/** All script until the list of the month end can be used; other screens come when somebody goes there. */
const mostScriptBytes = 200_000;

describe('what a browser has to fetch first', () => {
  let directory: string;
  let page: string;
  beforeAll(async () => {
    directory = await builtConsole();
    page = readFileSync(join(directory, 'index.html'), 'utf8');
  }, 60_000);

  const filesNamed = (pattern: RegExp): string[] => [...page.matchAll(pattern)].map((found) => found[1] ?? '');

  it('is at most 200 kB of script, compressed', () => {
    const scripts = [...filesNamed(/<script[^>]* src="\/([^"]+)"/g), ...filesNamed(/<link rel="modulepreload"[^>]* href="\/([^"]+)"/g)];
    expect(scripts.length).toBeGreaterThan(0);
    const bytes = scripts.map((name) => gzipSync(readFileSync(join(directory, name))).length).reduce((sum, each) => sum + each, 0);
    expect(bytes).toBeLessThanOrEqual(mostScriptBytes);
  });

  it('holds no script and no style in the page itself, which the content security policy would stop', () => {
    expect(page).not.toMatch(/<script(?![^>]* src=)/);
    expect(page).not.toMatch(/<style|\sstyle=|\son[a-z]+=/);
  });
});
