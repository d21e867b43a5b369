import type { CoinSet } from '../api/shapes';

const usd = (amount: string) => ({ amount, currency: 'USD' });
const issue = (tender: 'coin' | 'note', name: string, amount: string, pieceGrams: string | null) => ({ id: name, name, tender, face: usd(amount), pieceGrams, from: null, until: null, source: 'invented' });
const quarter = issue('coin', 'Quarter', '0.25', '5.67');
const copper = issue('coin', 'Cent, copper, to 1982', '0.01', '3.11');
const zinc = issue('coin', 'Cent, copper-plated zinc', '0.01', '2.5');
const five = issue('note', '5 note', '5.00', null);
const set: CoinSet = { currency: 'USD', readOn: '2026-01-01', weighWithinPercent: 25, issues: [quarter, copper, zinc, five] };

/** Words are taken where a file begins, so the language comes before it. */
async function inLanguage(language: string) {
  jest.resetModules();
  jest.doMock('../words/language', () => ({ language }));
  jest.doMock('../format/locale', () => ({ locale: language }));
  const { fetchFirstWords, fetchPageWords } = await import('../words/words');
  await Promise.all([fetchFirstWords(), fetchPageWords()]);
  return import('./issue-name');
}

it('keeps the names that the api has, on an English page', async () => {
  const { issueName, pieceLabel } = await inLanguage('en');
  expect(set.issues.map((each) => issueName(each, set))).toEqual(['Quarter', 'Cent, copper, to 1982', 'Cent, copper-plated zinc', '$5.00 note']);
  expect(set.issues.map((each) => pieceLabel(each, set))).toEqual(['Quarter ($0.25)', 'Cent, copper, to 1982 ($0.01)', 'Cent, copper-plated zinc ($0.01)', '$5.00 note']);
});

it('says elsewhere what a coin is worth, and of two of one worth what a piece weighs', async () => {
  const german = await inLanguage('de');
  const plain = (label: string) => label.replaceAll(/\s/g, ' ');
  const names = set.issues.map((each) => plain(german.issueName(each, set)));
  expect(names).toEqual(['Münze 0,25 $', 'Münze 0,01 $ zu 3,11 g', 'Münze 0,01 $ zu 2,5 g', 'Schein 5,00 $']);
  expect(set.issues.map((each) => plain(german.pieceLabel(each, set)))).toEqual(names);
  const spanish = await inLanguage('es');
  expect(plain(spanish.issueName(five, set))).toBe('Billete de 5,00 US$');
});
