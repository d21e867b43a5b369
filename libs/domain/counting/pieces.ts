/**
 * Counting by weight: how many pieces of one issue lie on the scale. Weights are whole milligrams, so nothing is ever
 * a binary fraction.
 */
export interface Weighing {
  /** Of the pieces alone, without bag or tray; zero or above. */
  readonly weightMilligrams: bigint;
  /** Of one piece of this issue; above zero. */
  readonly pieceMilligrams: bigint;
  /** How far from a whole number of pieces it may lie, in hundredths of a piece; below 50. */
  readonly slackPercent: number;
}

/**
 * How far from a whole number of pieces a weight may lie where an owner decided nothing, in hundredths of a piece: a quarter. At
 * one half every weight would be some whole number and nothing would be refused; much less refuses honest bags, whose coins are worn.
 */
export const USUAL_SLACK_PERCENT = 25;

/** Between what an owner may decide it: less refuses nearly every bag of worn coins, more lets a missing coin pass. */
export const LEAST_SLACK_PERCENT = 5;
export const MOST_SLACK_PERCENT = 40;

export type WeighedPieces = { readonly kind: 'pieces'; readonly pieces: bigint } | { readonly kind: 'weigh-again'; readonly below: bigint; readonly above: bigint };

/**
 * The nearest whole number of pieces, when the weight lies within the slack of it; otherwise `weigh-again` with the two
 * numbers it lies between. Exactly at the slack counts.
 */
export function piecesByWeight({ weightMilligrams, pieceMilligrams, slackPercent }: Weighing): WeighedPieces {
  if (weightMilligrams < 0n || pieceMilligrams <= 0n) throw new RangeError('A weight that no scale shows');
  const below = weightMilligrams / pieceMilligrams;
  const over = weightMilligrams - below * pieceMilligrams;
  const slack = BigInt(slackPercent) * pieceMilligrams;
  if (over * 100n <= slack) return { kind: 'pieces', pieces: below };
  if ((pieceMilligrams - over) * 100n <= slack) return { kind: 'pieces', pieces: below + 1n };
  return { kind: 'weigh-again', below, above: below + 1n };
}

export interface MintTolerance {
  readonly pieces: bigint;
  /** How far the mean of new pieces may lie from their standard weight, in parts per million; below a million. */
  readonly toleranceParts: bigint;
}

/**
 * The pieces that so much weight could also be, were every one of them at the edge of what the mint may issue. A count
 * by weight is as good as the coin: with a tolerance of three per cent, 100 pieces may weigh what 97 or 103 should.
 */
export function possiblePieces({ pieces, toleranceParts }: MintTolerance): { readonly least: bigint; readonly most: bigint } {
  const million = 1_000_000n;
  // Heaviest pieces: fewest of them. Rounded up and down, so that only whole pieces within the edge are named.
  const heaviest = million + toleranceParts;
  const lightest = million - toleranceParts;
  return { least: (pieces * million + heaviest - 1n) / heaviest, most: (pieces * million) / lightest };
}
