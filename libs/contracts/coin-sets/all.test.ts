import { valueTally } from '#domain/counting/tally';
import { issuesOf } from './all';

describe('sets of coins and notes', () => {
  it.each(['USD', 'CAD', 'EUR', 'GBP'] as const)('names each issue of %s once, with a source, in its own currency', (currency) => {
    const issues = issuesOf(currency);
    expect(new Set(issues.map(({ id }) => id)).size).toBe(issues.length);
    for (const issue of issues) {
      expect(issue).toMatchObject({ currency, source: expect.stringMatching(/\S/) });
      expect(issue.faceMinor).toBeGreaterThan(0n);
      expect(issue.pieceMilligrams === null).toBe(issue.tender === 'note');
    }
  });
  it('has none of a currency whose coins nobody wrote down', () => expect(issuesOf('JPY')).toEqual([]));
  // Dallas Fed Notice 02-12: 1,000 dollars in quarters, 22.68 kg.
  it('values the bag of the Dallas Fed notice', () =>
    expect(valueTally([{ issueId: 'usd-quarter', weightMilligrams: 22_680_000n }], { issues: issuesOf('USD') })).toMatchObject({ ok: true, tally: { coinMinor: 100_000n } }));
  it('holds apart the two weights of a Canadian dollar', () =>
    expect(issuesOf('CAD').filter(({ faceMinor }) => faceMinor === 100n).map(({ pieceMilligrams }) => pieceMilligrams)).toEqual([6_270n, 7_000n]));
});
