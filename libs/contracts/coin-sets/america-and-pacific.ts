/** Coins and notes of the United States, Canada, Mexico and Australia. */
import { coins, notes, type SourcedIssue } from './writing';

const noteSource = 'common knowledge, no source';
const memory = 'from memory';

const usCode = '31 U.S.C. 5112(a)';
const usMint = 'United States Mint, coin specifications';
export const unitedStates: readonly SourcedIssue[] = [
  ...coins('USD', [
    { id: 'dollar', name: 'Dollar coin', faceMinor: 100n, grams: '8.1', from: '1979-01-01', source: `${usMint}; first year from memory` },
    { id: 'half', name: 'Half dollar', faceMinor: 50n, grams: '11.34', from: '1971-01-01', source: `${usCode}; first year from memory` },
    { id: 'quarter', name: 'Quarter', faceMinor: 25n, grams: '5.67', from: '1965-01-01', source: `${usCode}; first year by the Coinage Act of 1965` },
    { id: 'dime', name: 'Dime', faceMinor: 10n, grams: '2.268', from: '1965-01-01', source: `${usCode}; first year by the Coinage Act of 1965` },
    { id: 'five-cents', name: 'Five cents', faceMinor: 5n, grams: '5', source: usCode },
    { id: 'cent-zinc', name: 'Cent, copper-plated zinc', faceMinor: 1n, grams: '2.5', from: '1982-01-01', source: `${usMint}; first year from memory` },
    { id: 'cent-copper', name: 'Cent, copper, to 1982', faceMinor: 1n, grams: '3.11', source: usCode },
  ]),
  ...notes('USD', { faces: [1n, 2n, 5n, 10n, 20n, 50n, 100n], source: noteSource }),
];

const canadaAct = 'Royal Canadian Mint Act, R.S.C. 1985, c. R-9, schedule, part 2';
export const canada: readonly SourcedIssue[] = [
  ...coins('CAD', [
    { id: 'two-dollars-steel', name: 'Two dollars, steel, from 2012', faceMinor: 200n, grams: '6.92', toleranceGramsPerKilogram: '30.45', from: '2012-04-10', source: `${canadaAct}, item 1.1; first day from memory` },
    { id: 'two-dollars-nickel', name: 'Two dollars, nickel, to 2012', faceMinor: 200n, grams: '7.3', toleranceGramsPerKilogram: '42.38', from: '1996-02-19', source: `${canadaAct}, item 1; first day from memory` },
    { id: 'dollar-steel', name: 'Dollar, steel, from 2012', faceMinor: 100n, grams: '6.27', toleranceGramsPerKilogram: '30.4', from: '2012-04-10', source: `${canadaAct}, item 2.2; first day from memory` },
    { id: 'dollar-nickel', name: 'Dollar, nickel, to 2012', faceMinor: 100n, grams: '7', toleranceGramsPerKilogram: '21.38', from: '1987-06-30', source: `${canadaAct}, item 2; first day from memory` },
    { id: 'quarter-steel', name: 'Twenty-five cents, steel', faceMinor: 25n, grams: '4.4', from: '2000-01-01', source: memory },
    { id: 'ten-cents-steel', name: 'Ten cents, steel', faceMinor: 10n, grams: '1.75', from: '2000-01-01', source: memory },
    { id: 'five-cents-steel', name: 'Five cents, steel', faceMinor: 5n, grams: '3.95', from: '2000-01-01', source: memory },
  ]),
  ...notes('CAD', { faces: [5n, 10n, 20n, 50n, 100n], source: noteSource }),
];

const mexicoTable = 'Banco de México, coins of type C; figures read in published tables of them';
export const mexico: readonly SourcedIssue[] = [
  ...coins('MXN', [
    // Twelve-sided and in more than one edition, whose weights no source at hand tells apart.
    { id: 'twenty-pesos', name: '20 pesos', faceMinor: 2_000n, source: 'common knowledge, no source' },
    { id: 'ten-pesos', name: '10 pesos', faceMinor: 1_000n, grams: '10.329', from: '1997-10-09', source: mexicoTable },
    { id: 'five-pesos', name: '5 pesos', faceMinor: 500n, grams: '7.07', from: '1996-01-01', source: 'weight from memory; first day as the press printed it' },
    { id: 'two-pesos', name: '2 pesos', faceMinor: 200n, grams: '5.19', from: '1996-01-01', source: 'weight from memory; first day as the press printed it' },
    { id: 'one-peso', name: '1 peso', faceMinor: 100n, grams: '3.95', from: '1996-01-01', source: mexicoTable },
    // Made in two metals of different weight, which the face does not tell apart.
    { id: 'fifty-centavos', name: '50 centavos', faceMinor: 50n, source: 'common knowledge, no source' },
  ]),
  ...notes('MXN', { faces: [20n, 50n, 100n, 200n, 500n, 1_000n], source: noteSource }),
];

const australiaMint = 'Currency (Royal Australian Mint) Determination 2004 (No. 5), item 1';
export const australia: readonly SourcedIssue[] = [
  ...coins('AUD', [
    { id: 'two-dollars', name: '2 dollars', faceMinor: 200n, grams: '6.6', from: '1988-06-20', source: memory },
    { id: 'one-dollar', name: '1 dollar', faceMinor: 100n, grams: '9', from: '1984-05-14', source: memory },
    { id: 'fifty-cents', name: '50 cents, twelve-sided', faceMinor: 50n, grams: '15.55', from: '1969-01-01', source: memory },
    { id: 'twenty-cents', name: '20 cents', faceMinor: 20n, grams: '11.3', from: '1966-02-14', source: memory },
    { id: 'ten-cents', name: '10 cents', faceMinor: 10n, grams: '5.65', from: '1966-02-14', source: memory },
    { id: 'five-cents', name: '5 cents', faceMinor: 5n, grams: '2.83', toleranceGramsPerKilogram: '45.936', from: '1966-02-14', source: `${australiaMint} (2.83 g, 0.13 g more or less); first day from memory` },
  ]),
  ...notes('AUD', { faces: [5n, 10n, 20n, 50n, 100n], source: noteSource }),
];
