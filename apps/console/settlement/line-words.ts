import type { SettlementLine } from '../api/shapes';
import { words } from '../words/words';

type Texts = Readonly<Record<string, string | undefined>>;

/** What a figure is called in the reader’s language; one that the page does not know, as the api calls it. */
export function nameOf({ kind, label, title }: Pick<SettlementLine, 'kind' | 'label' | 'title'>): string {
  const names: Texts = words.explanations.lines;
  return names[kind]?.replace('{title}', () => title ?? '') ?? label;
}

/** How a figure came about, in a sentence of the reader’s language. */
export function reasonOf({ formula, change, text }: Pick<NonNullable<SettlementLine['why']>, 'formula' | 'change' | 'text'>): string {
  const sentences: Texts = words.explanations.formulas;
  const sentence = sentences[formula];
  if (sentence === undefined) return text;
  if (change === null) return sentence;
  return `${words.explanations.changed.replace('{issued}', () => change.issued).replace('{now}', () => change.now)} ${sentence}`;
}
