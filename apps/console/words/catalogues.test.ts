import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import ts from 'typescript';
import { language as german } from './de/counting';
import { language as spanish } from './es/counting';
import { catalogues } from './words';

type Leaf = string | ((...figures: readonly unknown[]) => unknown);

/** Every text and every sentence of a catalogue, by the way to it. */
function leavesOf(value: unknown, way: string, found: Map<string, Leaf>): Map<string, Leaf> {
  if (typeof value === 'string' || typeof value === 'function') return found.set(way, value as Leaf);
  if (typeof value === 'object' && value !== null) for (const [key, inner] of Object.entries(value)) leavesOf(inner, way === '' ? key : `${way}.${key}`, found);
  return found;
}

async function leavesIn(language: 'en' | 'de' | 'es'): Promise<Map<string, Leaf>> {
  const { first, pages } = catalogues[language];
  return leavesOf({ ...(await first()), ...(await pages()) }, '', new Map());
}

/**
 * Stands for whatever a sentence is given, name, number, list or several of them, and writes down which of it the sentence says.
 * As a number it is larger than any that a sentence has words of its own for.
 */
function figure(way: string, said: Set<string>): unknown {
  const say = (): string => {
    said.add(way);
    return `‹${way}›`;
  };
  const texts: Readonly<Record<string, unknown>> = { join: say, charAt: say, slice: () => figure(way, said), toLowerCase: say, replaceAll: say, toString: say, length: 7 };
  return new Proxy(() => '', {
    get(_target, key) {
      if (key === Symbol.toPrimitive) return (hint: string) => (hint === 'number' ? (say(), 1234567) : say());
      return typeof key === 'symbol' ? undefined : (texts[key] ?? figure(`${way}.${key}`, said));
    },
  });
}

/** What a sentence says of all that it is given. */
function sayingOf(sentence: (...figures: readonly unknown[]) => unknown): { text: string; said: string[] } {
  const said = new Set<string>();
  // The one sentence that takes a day apart.
  if (sentence.name === 'earlier' && sentence.toString().includes('monthOf')) return { text: String(sentence('2026-10-01')), said: [] };
  const text = String(sentence(...Array.from({ length: sentence.length }, (_, place) => figure(String(place), said))));
  return { text, said: [...said].sort() };
}

const others = ['de', 'es'] as const;

/** In place of what the api says, where English may leave it to that; field-errors.test.ts looks after the codes of fields. */
const ofCodes = (way: string): boolean => /^(problems|fieldErrors|readyAreaNotes)\./.test(way);

/** Maps from codes to words that only the sentences of a file see, by name, with their codes. */
function hiddenMaps(file: string): Map<string, string[]> {
  const found = new Map<string, string[]>();
  ts.forEachChild(ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.ES2022, true), (node) => {
    if (!ts.isVariableStatement(node)) return;
    for (const { name, initializer } of node.declarationList.declarations) {
      if (initializer !== undefined && ts.isObjectLiteralExpression(initializer)) found.set(name.getText(), initializer.properties.map((each) => each.name?.getText() ?? '').sort());
    }
  });
  return found;
}

describe.each(others)('the words in %s', (language) => {
  it('say of each thing as much as the English ones', async () => {
    const [english, own] = [await leavesIn('en'), await leavesIn(language)];
    expect([...own.keys()].filter((way) => !ofCodes(way)).sort()).toEqual([...english.keys()].filter((way) => !ofCodes(way)).sort());
    const differing = [...english].flatMap(([way, leaf]) => {
      const other = own.get(way);
      if (typeof leaf === 'string' || typeof other !== 'function') return typeof leaf === typeof other || ofCodes(way) ? [] : [way];
      const [here, there] = [sayingOf(leaf).said, sayingOf(other).said];
      return here.join() === there.join() ? [] : [`${way}: ${here.join()} / ${there.join()}`];
    });
    expect(differing).toEqual([]);
  });

  it('are not English', async () => {
    const [english, own] = [await leavesIn('en'), await leavesIn(language)];
    const textOf = (leaf: Leaf | undefined): string => (typeof leaf === 'function' ? sayingOf(leaf).text : (leaf ?? ''));
    const same = [...english].filter(([way, leaf]) => !namesOfFiles.test(way) && /\p{L}{2}/u.test(textOf(leaf).replaceAll(/‹[^›]*›/g, '')) && textOf(leaf) === textOf(own.get(way)));
    expect(same.map(([, leaf]) => textOf(leaf)).filter((text) => !sameInEach[language].has(text))).toEqual([]);
    const betrayed = [...own].filter(([way, leaf]) => !namesOfFiles.test(way) && /\b(the|of|and|is|are|with|not|have|this|from|by)\b/i.test(textOf(leaf).replaceAll(/‹[^›]*›/g, '')));
    expect(betrayed.map(([way]) => way)).toEqual([]);
  });

  it('know every code that the English ones know', () => {
    const files = readdirSync(join(__dirname, 'en')).filter((name) => !name.endsWith('.test.ts'));
    expect(readdirSync(join(__dirname, language)).sort()).toEqual(files.sort());
    for (const file of files.filter((name) => !['problems.ts', 'field-errors.ts', 'ready-areas.ts'].includes(name))) {
      const own = hiddenMaps(join(__dirname, language, file));
      for (const [name, codes] of hiddenMaps(join(__dirname, 'en', file))) expect([file, name, own.get(name)]).toEqual([file, name, codes]);
    }
  });
});

/** Columns of files and what stands in them are not translated; sentences of terms have tests of their own. */
const namesOfFiles = /^imports\.guide\.\w+\.\d+\.(name|example)$|^(termsCatalogue|explanations)\./;

const inEach = ['‹0› – Latchledger', 'Webhooks', '‹0› ms', '‹0› – ‹1›', 'Latchledger', 'PDF', 'IBAN', 'ISO 20022 pain.001.001.09', 'Token', 'Hopper'];

/** Words that are the same in both languages, names of things that keep theirs, and what is only put together. */
const sameInEach: Readonly<Record<(typeof others)[number], ReadonlySet<string>>> = {
  de: new Set([
    ...inEach, 'Code', 'Code ‹0›, ‹1›', 'Code ‹0.code›, ‹0.kind›. ‹0.state›.', 'Format', 'Journal', 'Letter', 'Link', 'Name', 'Person', 'Signal', 'Trend', '‹0› in ‹1›',
    '‹0.number›, ‹0.code›, ‹0.kind›, in ‹0.store›',
  ]),
  es: new Set([...inEach, 'auditor', 'Base', 'Total']),
};

/** Verbs that say nothing on a page where several things can be changed. */
const bareVerbs: Readonly<Record<'en' | (typeof others)[number], RegExp>> = {
  en: /^(Change|Correct|Edit)( it)?$/,
  de: /^(Ändern|Berichtigen|Korrigieren|Bearbeiten)$/,
  es: /^(Cambiar|Corregir|Modificar|Editar)(lo|la)?$/,
};

it.each(['en', ...others] as const)('say what a button changes or corrects, in %s', async (language) => {
  const bare = [...(await leavesIn(language))].filter(([, leaf]) => typeof leaf === 'string' && bareVerbs[language].test(leaf));
  expect(bare.map(([way]) => way)).toEqual([]);
});

it('name their language', () => {
  expect([german, spanish]).toEqual(['de', 'es']);
});
