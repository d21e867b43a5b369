/**
 * Coins and notes that boxes hold, by currency: from which day to which each is money, and the weight of one piece where coin is
 * counted by weight. Wear takes weight off old coin; a scale check before each count and a count by hand now and then show how much.
 */
import { localDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { australia, canada, mexico, unitedStates } from './america-and-pacific';
import { czechia, denmark, euro, norway, poland, sterling, sweden, switzerland } from './europe';
import type { SourcedIssue } from './writing';

/** When the sources were read. A denomination that comes later is added with its first day, one that goes gets its last. */
export const coinSetsReadOn = localDate('2026-11-26');

const byCurrency: ReadonlyMap<CurrencyCode, readonly SourcedIssue[]> = new Map([
  ['USD', unitedStates],
  ['CAD', canada],
  ['MXN', mexico],
  ['AUD', australia],
  ['EUR', euro],
  ['GBP', sterling],
  ['CHF', switzerland],
  ['SEK', sweden],
  ['DKK', denmark],
  ['NOK', norway],
  ['PLN', poland],
  ['CZK', czechia],
]);

/** Currencies whose coins and notes are written down. */
export const coinSetCurrencies: readonly CurrencyCode[] = [...byCurrency.keys()].sort();

/** The known issues of a currency; none of one whose set is not written down: its boxes are counted as amounts. */
export function issuesOf(currency: CurrencyCode): readonly SourcedIssue[] {
  return byCurrency.get(currency) ?? [];
}
