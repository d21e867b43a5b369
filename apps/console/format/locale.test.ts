import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import ts from 'typescript';

const console = join(__dirname, '..');

/** What a browser loads whose reader wants these languages. */
async function readBy(languages: readonly string[]) {
  jest.resetModules();
  Object.defineProperty(globalThis, 'navigator', { value: { languages }, configurable: true });
  return { ...(await import('./locale')), ...(await import('./locale-of')), ...(await import('../words/counting')), ...(await import('../parts/field-words')) };
}

afterEach(() => Reflect.deleteProperty(globalThis, 'navigator'));

it('writes figures and days inside sentences as the region of the reader does', async () => {
  // Groups of a Swiss number: Unicode CLDR, de_CH, symbol "group"; the day before the month in Ireland: CLDR, en_IE, date format "long".
  const swiss = await readBy(['de-CH', 'en-US']);
  expect([swiss.locale, swiss.localeOf('en'), swiss.localeOf('es')]).toEqual(['de-CH', 'en-US', 'es']);
  expect(swiss.countingIn('de').count(2000, 'Standort', 'Standorte')).toMatch(/^2['’]000 Standorte$/);
  const irish = await readBy(['en-IE']);
  expect(irish.fill('from {day} on', { day: '2026-10-31' })).toBe('from 31 October 2026 on');
});

/** Expressions of our own that may say in which variety of a language something is written. */
const fromTheReader = /^(locale|localeOf\(.*\))$/;

it('lets nothing be written by a bare language', () => {
  const files = readdirSync(console, { recursive: true, encoding: 'utf8' }).filter((name) => /\.tsx?$/.test(name) && !name.endsWith('.test.ts') && !/^(generated|node_modules)\//.test(name));
  expect(files.length).toBeGreaterThan(300);
  const bare = files.flatMap((name) => bareIn(name, readFileSync(join(console, name), 'utf8')));
  expect(bare).toEqual([]);
});

it('finds what is written by a bare language', () => {
  const found = bareIn('a.ts', "new Intl.NumberFormat(language); new Intl.NumberFormat('de').format(1); new Intl.NumberFormat(); n.toLocaleString(); formatDay(day, words.language); new Intl.NumberFormat(locale); new Intl.DateTimeFormat('en', { timeZone }).formatToParts(now)");
  expect(found).toEqual(['a.ts: new Intl.NumberFormat(language)', "a.ts: new Intl.NumberFormat('de')", 'a.ts: new Intl.NumberFormat()', 'a.ts: n.toLocaleString()', 'a.ts: formatDay(day, words.language)']);
});

/** What a file writes by something else than the locale of its reader. */
function bareIn(name: string, source: string): string[] {
  const file = ts.createSourceFile(name, source, ts.ScriptTarget.ES2022, true, ts.ScriptKind.TSX);
  const found: string[] = [];
  const visit = (node: ts.Node): void => {
    if (isBare(node)) found.push(`${name}: ${node.getText(file)}`);
    ts.forEachChild(node, visit);
  };
  const isBare = (node: ts.Node): boolean => {
    if (!ts.isNewExpression(node) && !ts.isCallExpression(node)) return false;
    const callee = node.expression.getText(file);
    const written = (node.arguments ?? []).map((each) => each.getText(file));
    // Parts that are reckoned with, or what the browser is set to, are not read by anybody.
    const goesOn = ts.isPropertyAccessExpression(node.parent) ? node.parent.name.text : '';
    if (/^Intl\.\w+$/.test(callee) && callee !== 'Intl.supportedValuesOf') return goesOn !== 'resolvedOptions' && !(goesOn === 'formatToParts' && written[0] === "'en'") && !fromTheReader.test(written[0] ?? '');
    if (/\.toLocale\w*$/.test(callee)) return !fromTheReader.test(written[0] ?? '');
    return written.some((each) => /^(words\.)?language$/.test(each)) && /^format[A-Z]\w*$/.test(callee);
  };
  visit(file);
  return found;
}
