/** What a law tells apart by how long it is kept: letters sent and received, what entries rest on, and the books with what explains them. */
export type KeptByLaw = 'letters' | 'vouchers' | 'books';

/** For how many full years after the end of their calendar year records are kept, at least; with the paragraph that says so. */
export type LawOfKeeping = { readonly years: { readonly [kept in KeptByLaw]: number }; readonly source: string; readonly countsFrom: CountedFrom };

/**
 * The end of which year a law counts from. An accounting year may end within a calendar year, and what was made at its beginning
 * lies in the calendar year before its end: then a year more is kept, since the program does not know when an office's year ends.
 */
type CountedFrom = 'calendar-year' | 'accounting-year';

const same = (years: number): LawOfKeeping['years'] => ({ letters: years, vouchers: years, books: years });

/**
 * By country of the operator, as of 2026, from memory where no text is quoted beside the test: general rules of commercial and tax
 * law. What a licence or a place asks for beyond them is not here.
 */
const laws: { readonly [country: string]: Omit<LawOfKeeping, 'countsFrom'> & { readonly countsFrom?: CountedFrom } } = {
  AT: { years: same(7), source: 'BAO § 132 (1); UGB § 212 (1)' },
  CH: { years: same(10), source: 'OR Art. 958f (1)' },
  DE: { years: { letters: 6, vouchers: 8, books: 10 }, source: 'AO § 147 (1), (3), (4); HGB § 257 (1), (4), (5); UStG § 14b (1)', countsFrom: 'calendar-year' },
  ES: { years: same(6), source: 'Código de Comercio art. 30' },
  FR: { years: same(10), source: 'Code de commerce art. L123-22' },
  GB: { years: same(6), source: 'Finance Act 1998, Schedule 18, paragraph 21' },
  IT: { years: same(10), source: 'Codice civile art. 2220' },
  NL: { years: same(7), source: 'AWR art. 52 (4)' },
  // The regulation names no years: "so long as the contents thereof may become material". Tax is assessed within three years, within six where much was left out.
  US: { years: same(6), source: '26 CFR 1.6001-1(e); 26 USC 6501(e)(1)' },
};

/** Countries whose law the program knows. */
export const countriesWithLaw: readonly string[] = Object.keys(laws);

/** What holds where the program knows of no law: the longest of those that it knows. */
const unknownLaw: (typeof laws)[string] = { years: same(Math.max(...Object.values(laws).map(({ years }) => years.books))), source: '' };

/**
 * The law of a country (ISO 3166-1 alpha-2); `isKnown` is false where the longest time of all stands in for it. The year that is
 * added to what the law says, where it is, is among `years`. The database holds the same numbers: `app.least_years_kept`.
 */
export function lawOfKeeping(country: string): LawOfKeeping & { readonly isKnown: boolean } {
  const known = laws[country];
  const { years, source, countsFrom = 'accounting-year' } = known ?? unknownLaw;
  const added = countsFrom === 'accounting-year' ? 1 : 0;
  return { years: { letters: years.letters + added, vouchers: years.vouchers + added, books: years.books + added }, source, countsFrom, isKnown: known !== undefined };
}
