import { verifierWordsOf } from './words';

type Texts = { readonly [path: string]: string };

/** Every sentence by its place; those that name something are asked with a sample of it. */
function textsOf(value: unknown, path = ''): Texts {
  if (typeof value === 'string') return { [path]: value };
  if (typeof value === 'function') return { [path]: (value as (sample: unknown) => string)(sampleOf(path)) };
  const entries = Object.entries(value as object).map(([name, each]) => textsOf(each, path === '' ? name : `${path}.${name}`));
  return Object.assign({}, ...entries) as Texts;
}

const samples: { readonly [path: string]: unknown } = {
  'heads.extends': { older: 'A-1', newer: 'A-2' },
  'heads.doesNotExtend': { older: 'A-1', newer: 'A-2' },
  'heads.statementBetween': { older: 'A-1', newer: 'A-3', between: 'A-2' },
  'heads.nothingToCompare': { older: 'A-1', newer: 'A-2' },
  objectDiffers: { part: 'page-text', id: 17 },
};
const sampleOf = (path: string): unknown => samples[path] ?? 'A-1';

const english = textsOf(verifierWordsOf('en'));

it.each(['de', 'es'])('has every sentence in %s, and names what the English one names', (language) => {
  const texts = textsOf(verifierWordsOf(language));
  expect(Object.keys(texts).sort()).toEqual(Object.keys(english).sort());
  for (const [path, text] of Object.entries(texts)) {
    expect({ path, same: text === english[path] }).toEqual({ path, same: false });
    const named = (sentence = ''): string[] => [...new Set(sentence.match(/A-\d|\b17\b|\b64\b/g) ?? [])].sort();
    expect({ path, named: named(text) }).toEqual({ path, named: named(english[path]) });
  }
});

it('takes the first language that it has, by the language alone', () => {
  expect([verifierWordsOf('fr-FR', 'de-CH', 'en').language, verifierWordsOf('es-419').language, verifierWordsOf('el').language, verifierWordsOf().language]).toEqual(['de', 'es', 'en', 'en']);
});
