/** Shares and bands: every unit must have an owner, once. */
import { fromBillionths, oneHundred, toBillionths } from '#domain/money/decimal';
import { checkAmount, checkPercent, problem, repeatedIndexes, type TermsProblem } from '#domain/terms/problems';
import type { Band, BandsSplit, PartyId, PartyShare, Split } from '#domain/terms/types';

export function checkSplit(split: Split, parties: ReadonlySet<PartyId>): TermsProblem[] {
  return split.kind === 'shares' ? checkShares('/split/shares', split.shares, parties) : checkBands(split, parties);
}

/** Each list of shares in the split, with where it stands. */
export function shareLists(split: Split): { pointer: string; shares: readonly PartyShare[] }[] {
  if (split.kind === 'shares') return [{ pointer: '/split/shares', shares: split.shares }];
  return split.bands.map((band, index) => ({ pointer: `/split/bands/${index}/shares`, shares: band.shares }));
}

function checkShares(pointer: string, shares: readonly PartyShare[], parties: ReadonlySet<PartyId>): TermsProblem[] {
  const sum = shares.reduce((total, share) => total + toBillionths(share.percent), 0n);
  return [
    ...shares.flatMap((share, index) => [
      ...(parties.has(share.party) ? [] : [problem(`${pointer}/${index}/party`, 'party-unknown', { party: share.party })]),
      ...checkPercent(`${pointer}/${index}/percent`, share.percent, { zeroAllowed: true }),
    ]),
    ...repeatedIndexes(shares, (share) => share.party).map((index) => problem(`${pointer}/${index}/party`, 'party-listed-twice')),
    ...(sum === oneHundred ? [] : [problem(pointer, 'shares-not-hundred', { sum: fromBillionths(sum) })]),
  ];
}

function checkBands({ bands }: BandsSplit, parties: ReadonlySet<PartyId>): TermsProblem[] {
  const [first] = bands;
  if (first === undefined) return [problem('/split/bands', 'bands-missing')];
  return [
    ...(first.fromMinor === 0n ? [] : [problem('/split/bands/0/fromMinor', 'bands-must-start-at-zero')]),
    ...bands.flatMap((band, index) => [...checkBandEnds(bands, band, index), ...checkShares(`/split/bands/${index}/shares`, band.shares, parties)]),
  ];
}

function checkBandEnds(bands: readonly Band[], band: Band, index: number): TermsProblem[] {
  const next = bands[index + 1];
  const pointer = `/split/bands/${index}/toMinor`;
  if (next === undefined) return band.toMinor === null ? [] : [problem(pointer, 'last-band-must-be-open')];
  if (band.toMinor === null || band.toMinor !== next.fromMinor || band.toMinor <= band.fromMinor) {
    return [problem(pointer, 'bands-gap-or-overlap', { next: next.fromMinor.toString() })];
  }
  return checkAmount(pointer, band.toMinor, 1n);
}
