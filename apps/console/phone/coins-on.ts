import { isLocalDate } from '#domain/calendar/local-date';
import { mayLieInBox } from '#domain/counting/in-use';
import type { CoinSet } from '../generated';

/** The coins and notes of a currency that may lie in a box of that day; null where its coins are not written down. */
export function coinsOn(coinSets: readonly CoinSet[] | undefined, { currency, day }: { readonly currency: string; readonly day: string }): CoinSet | null {
  const coinSet = coinSets?.find((each) => each.currency === currency);
  if (coinSet === undefined) return null;
  // What a phone kept before an update says no days yet.
  return { ...coinSet, issues: coinSet.issues.filter(({ from, until }) => !isLocalDate(day) || mayLieInBox({ from: read(from), until: read(until) }, day)) };
}

function read(day: string | null | undefined) {
  return typeof day === 'string' && isLocalDate(day) ? day : null;
}
