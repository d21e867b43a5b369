import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import ts from 'typescript';

const consoleFolder = join(__dirname, '..');
const spokenAttributes = new Set(['alt', 'aria-label', 'aria-description', 'label', 'placeholder', 'title', 'lead', 'action', 'hint', 'text', 'caption']);

/** Texts that a file would show or say itself instead of asking the catalogue. */
function textsIn(fileName: string, source: string): string[] {
  const found: string[] = [];
  const tell = (text: string) => {
    if (/\p{L}/u.test(text)) found.push(text.trim());
  };
  const visit = (node: ts.Node): void => {
    if (ts.isJsxText(node)) tell(node.text);
    if (ts.isJsxAttribute(node) && spokenAttributes.has(node.name.getText()) && node.initializer !== undefined && ts.isStringLiteral(node.initializer)) {
      tell(node.initializer.text);
    }
    if (ts.isJsxExpression(node) && !ts.isJsxAttribute(node.parent) && node.expression !== undefined) {
      for (const text of literalTextsOf(node.expression)) tell(text);
    }
    ts.forEachChild(node, visit);
  };
  visit(ts.createSourceFile(fileName, source, ts.ScriptTarget.ES2022, true, ts.ScriptKind.TSX));
  return found;
}

/** Literals that an expression between tags evaluates to; what it merely passes on is not shown. */
function literalTextsOf(expression: ts.Expression): string[] {
  if (ts.isStringLiteralLike(expression)) return [expression.text];
  if (ts.isTemplateExpression(expression)) return [expression.head.text, ...expression.templateSpans.map((span) => span.literal.text)];
  if (ts.isConditionalExpression(expression)) return [...literalTextsOf(expression.whenTrue), ...literalTextsOf(expression.whenFalse)];
  if (ts.isParenthesizedExpression(expression)) return literalTextsOf(expression.expression);
  return [];
}

const files = readdirSync(consoleFolder, { recursive: true, encoding: 'utf8' }).filter((name) => name.endsWith('.tsx') && !name.startsWith('generated'));

describe('texts of the console', () => {
  it('finds a hard-coded text in each place where one could hide', () => {
    const hidden = "const A = () => <p title='Tip'>Shown {`so ${x} far`} {ok ? 'Yes' : name}{f('key')}<input placeholder='Type' className='c' /></p>;";
    expect(textsIn('hidden.tsx', hidden)).toEqual(['Tip', 'Shown', 'so', 'far', 'Yes', 'Type']);
  });

  it('looks at every screen', () => {
    expect(files).toContain(join('month-end', 'month-end-page.tsx'));
    expect(files.length).toBeGreaterThan(30);
  });

  it.each(files)('%s takes them all from the catalogue', (file) => {
    expect(textsIn(file, readFileSync(join(consoleFolder, file), 'utf8'))).toEqual([]);
  });

  it('come in the language of the reader: no file asks for those of one language', () => {
    const scripts = readdirSync(consoleFolder, { recursive: true, encoding: 'utf8' }).filter((name) => /\.tsx?$/.test(name) && !/^(words|generated)\b/.test(name));
    expect(scripts.length).toBeGreaterThan(200);
    expect(scripts.filter((name) => /words\/(en|de|es)\b/.test(readFileSync(join(consoleFolder, name), 'utf8')))).toEqual([]);
  });
});
