/**
 * Coins and notes that boxes hold, by currency, with the weight of one piece where coin is counted by weight.
 * Wear takes weight off old coin; a scale check before each count and a count by hand now and then show how much.
 */
import { localDate } from '#domain/calendar/local-date';
import type { CurrencyCode } from '#domain/money/currency';
import { coins, notes, type SourcedIssue } from './writing';

const usCode = '31 U.S.C. 5112(a)';
const usMint = 'United States Mint, coin specifications';
const unitedStates: readonly SourcedIssue[] = [
  ...coins('USD', [
    { id: 'dollar', name: 'Dollar coin', faceMinor: 100n, grams: '8.1', source: usMint },
    { id: 'half', name: 'Half dollar', faceMinor: 50n, grams: '11.34', source: usCode },
    { id: 'quarter', name: 'Quarter', faceMinor: 25n, grams: '5.67', source: usCode },
    { id: 'dime', name: 'Dime', faceMinor: 10n, grams: '2.268', source: usCode },
    { id: 'five-cents', name: 'Five cents', faceMinor: 5n, grams: '5', source: usCode },
    { id: 'cent-zinc', name: 'Cent, copper-plated zinc', faceMinor: 1n, grams: '2.5', source: usMint },
    { id: 'cent-copper', name: 'Cent, copper, to 1982', faceMinor: 1n, grams: '3.11', source: usCode },
  ]),
  ...notes('USD', { faces: [1n, 2n, 5n, 10n, 20n, 50n, 100n], unitMinor: 100n, source: 'common knowledge, no source' }),
];

const canadaAct = 'Royal Canadian Mint Act, R.S.C. 1985, c. R-9, schedule, part 2';
const canada: readonly SourcedIssue[] = [
  ...coins('CAD', [
    { id: 'two-dollars-steel', name: 'Two dollars, steel, from 2012', faceMinor: 200n, grams: '6.92', toleranceGramsPerKilogram: '30.45', source: `${canadaAct}, item 1.1` },
    { id: 'two-dollars-nickel', name: 'Two dollars, nickel, to 2012', faceMinor: 200n, grams: '7.3', toleranceGramsPerKilogram: '42.38', source: `${canadaAct}, item 1` },
    { id: 'dollar-steel', name: 'Dollar, steel, from 2012', faceMinor: 100n, grams: '6.27', toleranceGramsPerKilogram: '30.4', source: `${canadaAct}, item 2.2` },
    { id: 'dollar-nickel', name: 'Dollar, nickel, to 2012', faceMinor: 100n, grams: '7', toleranceGramsPerKilogram: '21.38', source: `${canadaAct}, item 2` },
    { id: 'quarter-steel', name: 'Twenty-five cents, steel', faceMinor: 25n, grams: '4.4', source: 'from memory' },
    { id: 'ten-cents-steel', name: 'Ten cents, steel', faceMinor: 10n, grams: '1.75', source: 'from memory' },
    { id: 'five-cents-steel', name: 'Five cents, steel', faceMinor: 5n, grams: '3.95', source: 'from memory' },
  ]),
  ...notes('CAD', { faces: [5n, 10n, 20n, 50n, 100n], unitMinor: 100n, source: 'common knowledge, no source' }),
];

const euroRegulation = 'Council Regulation (EU) No 729/2014, annex I; figures read in published tables of it';
const euro: readonly SourcedIssue[] = [
  ...coins('EUR', [
    { id: 'two-euro', name: '2 euro', faceMinor: 200n, grams: '8.5', source: euroRegulation },
    { id: 'one-euro', name: '1 euro', faceMinor: 100n, grams: '7.5', source: euroRegulation },
    { id: 'fifty-cent', name: '50 cent', faceMinor: 50n, grams: '7.8', source: euroRegulation },
    { id: 'twenty-cent', name: '20 cent', faceMinor: 20n, grams: '5.74', source: euroRegulation },
    { id: 'ten-cent', name: '10 cent', faceMinor: 10n, grams: '4.1', source: euroRegulation },
    { id: 'five-cent', name: '5 cent', faceMinor: 5n, grams: '3.92', source: euroRegulation },
    { id: 'two-cent', name: '2 cent', faceMinor: 2n, grams: '3.06', source: euroRegulation },
    { id: 'one-cent', name: '1 cent', faceMinor: 1n, grams: '2.3', source: euroRegulation },
  ]),
  ...notes('EUR', { faces: [5n, 10n, 20n, 50n, 100n, 200n, 500n], unitMinor: 100n, source: 'common knowledge, no source' }),
];

const sterlingTable = 'Proclamations under the Coinage Act 1971 s. 3; figures read in published tables of them';
const sterling: readonly SourcedIssue[] = [
  ...coins('GBP', [
    { id: 'two-pounds', name: '2 pounds', faceMinor: 200n, grams: '12', source: sterlingTable },
    { id: 'one-pound', name: '1 pound, twelve-sided, from 2017', faceMinor: 100n, grams: '8.75', source: sterlingTable },
    { id: 'fifty-pence', name: '50 pence', faceMinor: 50n, grams: '8', source: sterlingTable },
    { id: 'twenty-pence', name: '20 pence', faceMinor: 20n, grams: '5', source: sterlingTable },
    { id: 'ten-pence', name: '10 pence', faceMinor: 10n, grams: '6.5', source: sterlingTable },
    { id: 'five-pence', name: '5 pence', faceMinor: 5n, grams: '3.25', source: sterlingTable },
    { id: 'two-pence', name: '2 pence', faceMinor: 2n, grams: '7.12', source: sterlingTable },
    { id: 'one-penny', name: '1 penny', faceMinor: 1n, grams: '3.56', source: sterlingTable },
  ]),
  ...notes('GBP', { faces: [5n, 10n, 20n, 50n], unitMinor: 100n, source: 'common knowledge, no source' }),
];

/** When the sources were read. A denomination that comes later is added here, with its source. */
export const coinSetsReadOn = localDate('2026-11-25');

const byCurrency: ReadonlyMap<CurrencyCode, readonly SourcedIssue[]> = new Map([
  ['USD', unitedStates],
  ['CAD', canada],
  ['EUR', euro],
  ['GBP', sterling],
]);

/** Currencies whose coins and notes are written down. */
export const coinSetCurrencies: readonly CurrencyCode[] = [...byCurrency.keys()].sort();

/** The known issues of a currency; none of one whose set is not written down: its boxes are counted as amounts. */
export function issuesOf(currency: CurrencyCode): readonly SourcedIssue[] {
  return byCurrency.get(currency) ?? [];
}
