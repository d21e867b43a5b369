/**
 * The exact, unrounded shares by which an amount is divided. Weights are minor units times billionths of a percent;
 * only their ratios matter.
 */
import { toBillionths } from '#domain/money/decimal';
import type { Band, PartyShare, Split, Terms } from '#domain/terms/types';

export interface ShareWeight {
  readonly party: string;
  readonly weight: bigint;
}

/** The list that bears a loss: the only one, or that of the lowest band. */
export function lowestList(split: Split): readonly PartyShare[] {
  return split.kind === 'shares' ? split.shares : (split.bands[0]?.shares ?? []);
}

/** In the order of the agreement's parties, which decides ties. */
export function listWeights(terms: Terms, shares: readonly PartyShare[]): ShareWeight[] {
  return inOrder(
    terms,
    shares.map((share) => ({ party: share.party, weight: toBillionths(share.percent) })),
  );
}

function inOrder(terms: Terms, weights: readonly ShareWeight[]): ShareWeight[] {
  return terms.parties.flatMap((party) => weights.filter((weight) => weight.party === party.id));
}

/** Bands with their thresholds as they stand for this settlement. */
export interface BandWeightsRequest {
  readonly terms: Terms;
  readonly amountMinor: bigint;
  readonly method: 'marginal' | 'whole';
  readonly bands: readonly Band[];
}

export function bandWeights({ terms, amountMinor, method, bands }: BandWeightsRequest): ShareWeight[] {
  if (method === 'whole') {
    const reached = bands.filter((band) => band.fromMinor <= amountMinor);
    return listWeights(terms, (reached[reached.length - 1] ?? bands[0])?.shares ?? []);
  }
  const weights = new Map<string, bigint>();
  for (const band of bands) {
    const top = band.toMinor === null || amountMinor < band.toMinor ? amountMinor : band.toMinor;
    const slice = top > band.fromMinor ? top - band.fromMinor : 0n;
    for (const share of band.shares) weights.set(share.party, (weights.get(share.party) ?? 0n) + slice * toBillionths(share.percent));
  }
  return inOrder(
    terms,
    [...weights].map(([party, weight]) => ({ party, weight })),
  );
}
