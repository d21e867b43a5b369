import { piecesByWeight, possiblePieces, USUAL_SLACK_PERCENT } from './pieces';

const quarter = 5_670n;
const weigh = (weightMilligrams: bigint) => piecesByWeight({ weightMilligrams, pieceMilligrams: quarter, slackPercent: USUAL_SLACK_PERCENT });

describe('pieces by weight', () => {
  // 31 U.S.C. 5112(a): a quarter weighs 5.67 g.
  it('reads 1,134.0 g of quarters as 200', () => expect(weigh(1_134_000n)).toEqual({ kind: 'pieces', pieces: 200n }));
  it('asks to weigh 1,131.2 g again, half a piece off', () => expect(weigh(1_131_200n)).toEqual({ kind: 'weigh-again', below: 199n, above: 200n }));
  // Dallas Fed Notice 02-12: a bag of 1,000 dollars in quarters weighs 22.68 kg.
  it('reads a full bag of 22.68 kg as 4,000 quarters', () => expect(weigh(22_680_000n)).toEqual({ kind: 'pieces', pieces: 4_000n }));
  it('takes a weight exactly at the slack, on both sides', () => {
    const piece = { pieceMilligrams: 4_000n, slackPercent: USUAL_SLACK_PERCENT };
    expect(piecesByWeight({ ...piece, weightMilligrams: 41_000n })).toEqual({ kind: 'pieces', pieces: 10n });
    expect(piecesByWeight({ ...piece, weightMilligrams: 41_001n })).toEqual({ kind: 'weigh-again', below: 10n, above: 11n });
    expect(piecesByWeight({ ...piece, weightMilligrams: 43_000n })).toEqual({ kind: 'pieces', pieces: 11n });
    expect(piecesByWeight({ ...piece, weightMilligrams: 42_999n })).toEqual({ kind: 'weigh-again', below: 10n, above: 11n });
  });
  it('goes by the slack that an owner decided', () => {
    const bag = { pieceMilligrams: 4_000n, weightMilligrams: 41_000n };
    expect(piecesByWeight({ ...bag, slackPercent: 24 })).toEqual({ kind: 'weigh-again', below: 10n, above: 11n });
    expect(piecesByWeight({ ...bag, weightMilligrams: 41_600n, slackPercent: 40 })).toEqual({ kind: 'pieces', pieces: 10n });
  });
  it('reads nothing as no piece', () => expect(weigh(0n)).toEqual({ kind: 'pieces', pieces: 0n }));
  it('refuses what no scale shows', () => expect(() => weigh(-1n)).toThrow(RangeError));
});

describe('what a weight could also be', () => {
  // Royal Canadian Mint Act, schedule, part 2, item 2.2: 6.27 g, 30.4 g per kilogram.
  it('spans 98 to 103 for a hundred steel dollars', () => expect(possiblePieces({ pieces: 100n, toleranceParts: 30_400n })).toEqual({ least: 98n, most: 103n }));
  it('is the count itself without tolerance', () => expect(possiblePieces({ pieces: 100n, toleranceParts: 0n })).toEqual({ least: 100n, most: 100n }));
  it('keeps its promise: at the edges, that many pieces can weigh as much', () => {
    for (let pieces = 1n; pieces < 500n; pieces += 7n) {
      const { least, most } = possiblePieces({ pieces, toleranceParts: 42_380n });
      expect(least * 1_042_380n).toBeGreaterThanOrEqual(pieces * 1_000_000n);
      expect((least - 1n) * 1_042_380n).toBeLessThan(pieces * 1_000_000n);
      expect(most * 957_620n).toBeLessThanOrEqual(pieces * 1_000_000n);
      expect((most + 1n) * 957_620n).toBeGreaterThan(pieces * 1_000_000n);
    }
  });
});
