import { localDate } from '#domain/calendar/local-date';
import { mayLieInBox } from '#domain/counting/in-use';
import { valueTally } from '#domain/counting/tally';
import { coinSetCurrencies, issuesOf } from './all';

const gramsOf = (id: string): number => {
  const [issue] = coinSetCurrencies.flatMap((currency) => issuesOf(currency).filter((each) => each.id === id));
  const milligrams = issue?.pieceMilligrams ?? null;
  if (milligrams === null) throw new Error(`nobody weighs ${id}`);
  return Number(milligrams) / 1_000;
};

describe('sets of coins and notes', () => {
  it.each(coinSetCurrencies)('names each issue of %s once, with a source, in its own currency, and no day before its first', (currency) => {
    const issues = issuesOf(currency);
    expect(new Set(issues.map(({ id }) => id)).size).toBe(issues.length);
    for (const issue of issues) {
      expect(issue).toMatchObject({ currency, source: expect.stringMatching(/\S/) });
      expect(issue.id.startsWith(`${currency.toLowerCase()}-`)).toBe(true);
      expect(issue.faceMinor).toBeGreaterThan(0n);
      if (issue.tender === 'note') expect(issue.pieceMilligrams).toBeNull();
      if (issue.from !== null && issue.until !== null) expect(issue.from < issue.until).toBe(true);
    }
  });
  it('has none of a currency whose coins nobody wrote down', () => expect(issuesOf('JPY')).toEqual([]));
  // Dallas Fed Notice 02-12: 1,000 dollars in quarters, 22.68 kg.
  it('values the bag of the Dallas Fed notice', () =>
    expect(valueTally([{ issueId: 'usd-quarter', weightMilligrams: 22_680_000n }], { issues: issuesOf('USD') })).toMatchObject({ ok: true, tally: { coinMinor: 100_000n } }));
  it('holds apart the two weights of a Canadian dollar', () =>
    expect(issuesOf('CAD').filter(({ faceMinor }) => faceMinor === 100n).map(({ pieceMilligrams }) => pieceMilligrams)).toEqual([6_270n, 7_000n]));

  it.each([
    // Swiss National Bank, Coins (snb.ch/en/the-snb/mandates-goals/cash/coins).
    ['chf-five-francs', 13.2], ['chf-two-francs', 8.8], ['chf-one-franc', 4.4], ['chf-half-franc', 2.2], ['chf-twenty-rappen', 4], ['chf-ten-rappen', 3], ['chf-five-rappen', 1.8],
    // Riksbank, SFS 1989:61 and 2014:84.
    ['sek-ten-kronor', 6.6], ['sek-five-kronor-old', 9.5], ['sek-one-krona-old', 7], ['sek-two-kronor', 4.8], ['sek-one-krona', 3.6],
    // Norges Bank, coins of 1 krone and 20 kroner.
    ['nok-one-krone', 4.35], ['nok-twenty-kroner', 9.9],
    // Currency (Royal Australian Mint) Determination 2004 (No. 5), item 1.
    ['aud-five-cents', 2.83],
    // Ten pesos are a ring of 5.579 g about a disc of 4.75 g, one peso 2.14 g about 1.81 g (tables after Banco de México).
    ['mxn-ten-pesos', 5.579 + 4.75], ['mxn-one-peso', 2.14 + 1.81],
  ])('knows what %s weighs as its source says', (id, grams) => expect(gramsOf(id)).toBeCloseTo(grams, 6));
  // 200 coins of one złoty weigh a kilogram, as the press says of them.
  it('values a kilogram of one złoty as 200', () =>
    expect(valueTally([{ issueId: 'pln-one-zloty', weightMilligrams: 1_000_000n }], { issues: issuesOf('PLN') })).toMatchObject({ ok: true, tally: { lines: [{ pieces: 200n }] } }));

  it('has both pounds on a day on which both were money, and one before and after', () => {
    const poundsOn = (day: string) => issuesOf('GBP').filter((issue) => issue.faceMinor === 100n && mayLieInBox(issue, localDate(day))).map(({ id }) => id);
    expect([poundsOn('2016-12-31'), poundsOn('2017-08-01'), poundsOn('2026-11-26')]).toEqual([['gbp-one-pound-round'], ['gbp-one-pound', 'gbp-one-pound-round'], ['gbp-one-pound']]);
  });
});
