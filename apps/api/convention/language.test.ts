import { languageAsked } from './language';

// RFC 9110, section 12.5.4, and 12.4.2 for the weights; the first header is the example of 12.5.4 with a language that we write.
it.each([
  ['da, en-gb;q=0.8, en;q=0.7', 'en-gb'],
  ['de-AT', 'de-AT'],
  ['en;q=0.3, es-MX;q=0.9, de;q=0.9', 'es-MX'],
  ['de;q=0, en', 'en'],
  ['fr-CH, *;q=0.5', undefined],
  ['', undefined],
  [undefined, undefined],
  ['de<script>', undefined],
])('%s asks for %s', (header, language) => {
  expect(languageAsked(header)).toBe(language);
});
