import { englishExplanations } from '#domain/settlement/explanations-english';
import { germanExplanations } from '#domain/settlement/explanations-german';
import { spanishExplanations } from '#domain/settlement/explanations-spanish';
import type { ExplanationCatalogue } from '#domain/settlement/explanation-catalogue';

const gapsOf = ({ lines, formulas, changed }: ExplanationCatalogue): string[] =>
  Object.entries({ ...lines, ...formulas, changed }).map(([name, text]) => `${name} ${[...text.matchAll(/\{\w+\}/g)].map(String).sort().join()}`).sort();

it.each([['German', germanExplanations], ['Spanish', spanishExplanations]])('leaves in %s the same gaps as in English, and translates everything', (_name, catalogue) => {
  expect(gapsOf(catalogue)).toEqual(gapsOf(englishExplanations));
  const texts = ({ lines, formulas, changed }: ExplanationCatalogue) => [...Object.values(lines), ...Object.values(formulas), changed];
  const english = new Set(texts(englishExplanations));
  expect(texts(catalogue).filter((text) => english.has(text))).toEqual([]);
});
