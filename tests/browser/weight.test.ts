import { readdirSync, readFileSync } from 'node:fs';
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
  }, 180_000);

  const filesNamed = (pattern: RegExp): string[] => [...page.matchAll(pattern)].map((found) => found[1] ?? '');

  /** The scripts, and what they ask for as soon as they are there. */
  const withImports = (names: readonly string[]): Set<string> => {
    const found = new Set<string>();
    const add = (name: string): void => {
      if (found.has(name)) return;
      found.add(name);
      for (const [, imported = ''] of readFileSync(join(directory, name), 'utf8').matchAll(/(?:from|import)\s*"\.\/([^"]+\.js)"/g)) add(`assets/${imported}`);
    };
    names.forEach(add);
    return found;
  };

  it.each(['en', 'de', 'es'])('is at most 200 kB of script, compressed, with the words of the first screens (%s)', (language) => {
    const scripts = [...filesNamed(/<script[^>]* src="\/([^"]+)"/g), ...filesNamed(/<link rel="modulepreload"[^>]* href="\/([^"]+)"/g)];
    const words = readdirSync(join(directory, 'assets')).filter((name) => new RegExp(`^${language}-[\\w-]{8}\\.js$`).test(name));
    expect(scripts.length).toBeGreaterThan(1);
    expect(words).toHaveLength(1);
    const bytes = [...withImports([...scripts, ...words.map((name) => `assets/${name}`)])].map((name) => gzipSync(readFileSync(join(directory, name))).length).reduce((sum, each) => sum + each, 0);
    expect(bytes).toBeLessThanOrEqual(mostScriptBytes);
  });

  it('holds no script and no style in the page itself, which the content security policy would stop', () => {
    expect(page).not.toMatch(/<script(?![^>]* src=)/);
    expect(page).not.toMatch(/<style|\sstyle=|\son[a-z]+=/);
  });
});
