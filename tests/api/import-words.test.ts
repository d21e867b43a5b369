import { imports as german } from '../../apps/console/words/de/imports';
import { imports as spanish } from '../../apps/console/words/es/imports';
import { keyLineErrorWords } from '#backoffice/import/keys/words';
import { lineErrorWords, wordsOf } from '#backoffice/import/words';

const codes = [...Object.keys(lineErrorWords), ...Object.keys(keyLineErrorWords)];

it.each(['de', 'es'])('says each reason in a sentence of its own in %s, with the names of columns and examples as they are', (language) => {
  const examples = (text: string) => text.match(/\d{4}-\d\d-\d\d|\d\d:\d\d|[A-Z]+=\d+\|[A-Z]+=\d+|\b(cash-door|play-area|fitted_on|readings)\b/g)?.sort() ?? [];
  for (const code of codes) {
    const own = wordsOf(code, language);
    expect([code, own === wordsOf(code), /[.?]$/.test(own), examples(own)]).toEqual([code, false, true, examples(wordsOf(code))]);
  }
});

it.each([german, spanish])('has a short name for each reason in the console, too', ({ reason }) => {
  expect(codes.filter((code) => reason(code) === code)).toEqual([]);
});
