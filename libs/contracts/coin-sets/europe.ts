/** Coins and notes of the euro, the United Kingdom, Switzerland, Sweden, Denmark, Norway, Poland and Czechia. */
import { coins, notes, type SourcedIssue } from './writing';

const noteSource = 'common knowledge, no source';
const memory = 'from memory';

const euroRegulation = 'Council Regulation (EU) No 729/2014, annex I; figures read in published tables of it';
const euroDay = '2002-01-01';
export const euro: readonly SourcedIssue[] = [
  ...coins('EUR', [
    { id: 'two-euro', name: '2 euro', faceMinor: 200n, grams: '8.5', from: euroDay, source: euroRegulation },
    { id: 'one-euro', name: '1 euro', faceMinor: 100n, grams: '7.5', from: euroDay, source: euroRegulation },
    { id: 'fifty-cent', name: '50 cent', faceMinor: 50n, grams: '7.8', from: euroDay, source: euroRegulation },
    { id: 'twenty-cent', name: '20 cent', faceMinor: 20n, grams: '5.74', from: euroDay, source: euroRegulation },
    { id: 'ten-cent', name: '10 cent', faceMinor: 10n, grams: '4.1', from: euroDay, source: euroRegulation },
    { id: 'five-cent', name: '5 cent', faceMinor: 5n, grams: '3.92', from: euroDay, source: euroRegulation },
    { id: 'two-cent', name: '2 cent', faceMinor: 2n, grams: '3.06', from: euroDay, source: euroRegulation },
    { id: 'one-cent', name: '1 cent', faceMinor: 1n, grams: '2.3', from: euroDay, source: euroRegulation },
  ]),
  ...notes('EUR', { faces: [5n, 10n, 20n, 50n, 100n, 200n, 500n], from: euroDay, source: noteSource }),
];

const sterlingTable = 'Proclamations under the Coinage Act 1971 s. 3; figures read in published tables of them';
const sterlingMemory = `${sterlingTable}; days from memory`;
export const sterling: readonly SourcedIssue[] = [
  ...coins('GBP', [
    { id: 'two-pounds', name: '2 pounds', faceMinor: 200n, grams: '12', from: '1998-06-15', source: sterlingMemory },
    { id: 'one-pound', name: '1 pound, twelve-sided, from 2017', faceMinor: 100n, grams: '8.75', from: '2017-03-28', source: `${sterlingTable}; Royal Mint, the new pound` },
    { id: 'one-pound-round', name: '1 pound, round, to 2017', faceMinor: 100n, grams: '9.5', from: '1983-04-21', until: '2017-10-15', source: `${sterlingTable}; last day as the press printed it` },
    { id: 'fifty-pence', name: '50 pence', faceMinor: 50n, grams: '8', from: '1997-09-01', source: sterlingMemory },
    { id: 'twenty-pence', name: '20 pence', faceMinor: 20n, grams: '5', from: '1982-06-09', source: sterlingMemory },
    { id: 'ten-pence', name: '10 pence', faceMinor: 10n, grams: '6.5', from: '1992-09-30', source: sterlingMemory },
    { id: 'five-pence', name: '5 pence', faceMinor: 5n, grams: '3.25', from: '1990-06-27', source: sterlingMemory },
    { id: 'two-pence', name: '2 pence', faceMinor: 2n, grams: '7.12', from: '1971-02-15', source: sterlingMemory },
    { id: 'one-penny', name: '1 penny', faceMinor: 1n, grams: '3.56', from: '1971-02-15', source: sterlingMemory },
  ]),
  ...notes('GBP', { faces: [5n, 10n, 20n, 50n], source: noteSource }),
];

const swissOrdinance = 'Coinage Ordinance of Switzerland (SR 941.101), table of circulation coins';
export const switzerland: readonly SourcedIssue[] = [
  ...coins('CHF', [
    { id: 'five-francs', name: '5 francs', faceMinor: 500n, grams: '13.2', from: '1968-01-01', source: `${swissOrdinance}; first year by the National Bank` },
    { id: 'two-francs', name: '2 francs', faceMinor: 200n, grams: '8.8', from: '1968-01-01', source: `${swissOrdinance}; first year by the National Bank` },
    { id: 'one-franc', name: '1 franc', faceMinor: 100n, grams: '4.4', from: '1968-01-01', source: `${swissOrdinance}; first year by the National Bank` },
    { id: 'half-franc', name: '½ franc', faceMinor: 50n, grams: '2.2', from: '1968-01-01', source: `${swissOrdinance}; first year by the National Bank` },
    { id: 'twenty-rappen', name: '20 rappen', faceMinor: 20n, grams: '4', source: swissOrdinance },
    { id: 'ten-rappen', name: '10 rappen', faceMinor: 10n, grams: '3', source: swissOrdinance },
    { id: 'five-rappen', name: '5 rappen', faceMinor: 5n, grams: '1.8', from: '1981-01-01', source: `${swissOrdinance}; first year from memory` },
  ]),
  ...notes('CHF', { faces: [10n, 20n, 50n, 100n, 200n, 1_000n], source: noteSource }),
];

const swedenNew = 'SFS 2014:84, coins of one, two and five kronor';
const swedenOld = 'SFS 1989:61, §§ 1 and 2';
export const sweden: readonly SourcedIssue[] = [
  ...coins('SEK', [
    { id: 'ten-kronor', name: '10 kronor', faceMinor: 1_000n, grams: '6.6', toleranceGramsPerKilogram: '20', from: '1991-01-01', source: `${swedenOld}; first year from memory` },
    { id: 'five-kronor', name: '5 kronor, from 2016', faceMinor: 500n, grams: '6.1', from: '2016-10-03', source: memory },
    { id: 'five-kronor-old', name: '5 kronor, to 2017', faceMinor: 500n, grams: '9.5', toleranceGramsPerKilogram: '20', until: '2017-06-30', source: `${swedenOld}; last day from memory` },
    // 360 g and 480 g a hundred, 5.4 g and 7.2 g more or less: 15 g in a kilogram.
    { id: 'two-kronor', name: '2 kronor, from 2016', faceMinor: 200n, grams: '4.8', toleranceGramsPerKilogram: '15', from: '2016-10-03', source: `${swedenNew}; first day from memory` },
    { id: 'one-krona', name: '1 krona, from 2016', faceMinor: 100n, grams: '3.6', toleranceGramsPerKilogram: '15', from: '2016-10-03', source: `${swedenNew}; first day from memory` },
    { id: 'one-krona-old', name: '1 krona, to 2017', faceMinor: 100n, grams: '7', toleranceGramsPerKilogram: '20', until: '2017-06-30', source: `${swedenOld}; last day from memory` },
  ]),
  ...notes('SEK', { faces: [20n, 50n, 100n, 200n, 500n, 1_000n], source: noteSource }),
];

const danishTable = 'Danmarks Nationalbank; figures read in published tables of its coins';
export const denmark: readonly SourcedIssue[] = [
  ...coins('DKK', [
    { id: 'twenty-kroner', name: '20 kroner', faceMinor: 2_000n, grams: '9.3', from: '1990-01-01', source: `${danishTable}; first year from memory` },
    { id: 'ten-kroner', name: '10 kroner', faceMinor: 1_000n, grams: '7', from: '1989-01-01', source: `${danishTable}; first year from memory` },
    { id: 'five-kroner', name: '5 kroner', faceMinor: 500n, grams: '9.2', from: '1990-01-01', source: `${danishTable}; first year from memory` },
    { id: 'two-kroner', name: '2 kroner', faceMinor: 200n, grams: '5.9', from: '1993-01-01', source: `${danishTable}; first year from memory` },
    { id: 'one-krone', name: '1 krone', faceMinor: 100n, grams: '3.6', from: '1993-01-26', source: danishTable },
    { id: 'fifty-ore', name: '50 øre', faceMinor: 50n, grams: '4.3', from: '1989-01-01', source: memory },
  ]),
  ...notes('DKK', { faces: [50n, 100n, 200n, 500n], source: noteSource }),
  ...notes('DKK', { faces: [1_000n], until: '2025-05-31', source: memory }),
];

const norgesBank = 'Norges Bank, design and technical specifications';
export const norway: readonly SourcedIssue[] = [
  ...coins('NOK', [
    { id: 'twenty-kroner', name: '20 kroner', faceMinor: 2_000n, grams: '9.9', from: '1994-01-01', source: `${norgesBank}; first year from memory` },
    { id: 'ten-kroner', name: '10 kroner', faceMinor: 1_000n, grams: '6.8', from: '1995-01-01', source: memory },
    { id: 'five-kroner', name: '5 kroner', faceMinor: 500n, grams: '7.85', from: '1998-01-01', source: memory },
    { id: 'one-krone', name: '1 krone', faceMinor: 100n, grams: '4.35', from: '1997-01-01', source: `${norgesBank}; first year from memory` },
  ]),
  ...notes('NOK', { faces: [50n, 100n, 200n, 500n, 1_000n], source: noteSource }),
];

const polishOrder = 'Monitor Polski 1994 item 575; weights read in published tables of the coins';
const polishDay = '1995-01-01';
export const poland: readonly SourcedIssue[] = [
  ...coins('PLN', [
    { id: 'five-zloty', name: '5 złotych', faceMinor: 500n, grams: '6.54', from: polishDay, source: polishOrder },
    { id: 'two-zloty', name: '2 złote', faceMinor: 200n, grams: '5.21', from: polishDay, source: polishOrder },
    { id: 'one-zloty', name: '1 złoty', faceMinor: 100n, grams: '5', from: polishDay, source: polishOrder },
    { id: 'fifty-groszy', name: '50 groszy', faceMinor: 50n, grams: '3.94', from: polishDay, source: polishOrder },
    { id: 'twenty-groszy', name: '20 groszy', faceMinor: 20n, grams: '3.22', from: polishDay, source: polishOrder },
    { id: 'ten-groszy', name: '10 groszy', faceMinor: 10n, grams: '2.51', from: polishDay, source: polishOrder },
    { id: 'five-groszy', name: '5 groszy', faceMinor: 5n, grams: '2.59', from: polishDay, source: polishOrder },
    { id: 'two-grosze', name: '2 grosze', faceMinor: 2n, grams: '2.13', from: polishDay, source: polishOrder },
    { id: 'one-grosz', name: '1 grosz', faceMinor: 1n, grams: '1.64', from: polishDay, source: polishOrder },
  ]),
  ...notes('PLN', { faces: [10n, 20n, 50n, 100n, 200n, 500n], source: noteSource }),
];

const czechTable = 'Czech National Bank; figures read in published tables of its coins';
export const czechia: readonly SourcedIssue[] = [
  ...coins('CZK', [
    { id: 'fifty-koruna', name: '50 Kč', faceMinor: 5_000n, grams: '9.7', from: '1993-01-01', source: `${czechTable}; first year from memory` },
    { id: 'twenty-koruna', name: '20 Kč', faceMinor: 2_000n, grams: '8.43', from: '1993-01-01', source: `${czechTable}; first year from memory` },
    { id: 'ten-koruna', name: '10 Kč', faceMinor: 1_000n, grams: '7.62', from: '1993-01-01', source: `${czechTable}; first year from memory` },
    { id: 'five-koruna', name: '5 Kč', faceMinor: 500n, grams: '4.8', from: '1993-01-01', source: `${czechTable}; first year from memory` },
    { id: 'two-koruna', name: '2 Kč', faceMinor: 200n, grams: '3.7', from: '1993-01-01', source: `${czechTable}; first year from memory` },
    { id: 'one-koruna', name: '1 Kč', faceMinor: 100n, grams: '3.6', from: '1993-06-09', source: czechTable },
  ]),
  ...notes('CZK', { faces: [100n, 200n, 500n, 1_000n, 2_000n, 5_000n], source: noteSource }),
];
