/** Ready areas of the United States and Canada. */
import type { ReadyTaxArea } from '../ready-area';
import { area, insideTax, limit, percent, yearlyTax } from './writing';

const newYear = { month: 1, day: 1 };

/** Florida's counties differ by their surtax only, so each rate that is published with its divisor is an area. */
const florida = [
  ['0', 'no county surtax'],
  ['0.5', 'county surtax 0.5 %'],
  ['1', 'county surtax 1 %'],
  ['1.5', 'county surtax 1.5 %'],
  ['2', 'county surtax 2 %'],
].map(([surtax = '0', words = '']) =>
  area({
    id: `us-fl-surtax-${surtax.replace('.', '-')}`,
    code: `US-FL-${surtax.replace('.', '')}`,
    name: `Florida, ${words}`,
    country: 'US',
    currency: 'USD',
    notes: ['The tax is computed for each reporting period, not for each play or collection.', 'Find the surtax of your county before you choose.'],
    rules: [
      insideTax({
        code: 'SALES',
        from: '2025-01-01',
        source: 'Rule 12A-15.011(1) F.A.C. (divisor by surtax) and Form DR-15N, line A; in force on the first day given here, perhaps longer',
        title: 'Amusement machine sales tax',
        currency: 'USD',
        components: [
          { id: 'state', title: 'State sales tax', ratePercent: '4' },
          ...(surtax === '0' ? [] : [{ id: 'county', title: 'County surtax', ratePercent: surtax }]),
        ],
      }),
    ],
  }),
);

export const northAmerica: readonly ReadyTaxArea[] = [
  ...florida,
  area({
    id: 'us-ar',
    code: 'US-AR',
    name: 'Arkansas, state only',
    country: 'US',
    currency: 'USD',
    notes: ['Counties and cities add rates of their own: add them as components. Receipts are charges divided by one plus all rates.'],
    rules: [
      insideTax({
        code: 'GROSS',
        from: '2013-07-01',
        source: 'Arkansas Gross Receipts Tax Rule GR-16(B); rate: Amendment 91 to the Constitution, 6.5 % from 1 July 2013',
        title: 'Gross receipts tax',
        currency: 'USD',
        components: [{ id: 'state', title: 'State gross receipts tax', ratePercent: '6.5' }],
      }),
    ],
  }),
  area({
    id: 'us-id',
    code: 'US-ID',
    name: 'Idaho',
    country: 'US',
    currency: 'USD',
    notes: ['A yearly amount per device, 700 times the sales tax rate, in place of sales tax.'],
    rules: [
      yearlyTax({ code: 'DEVICE', from: '2025-01-01', source: 'IDAPA 35.01.02.109, at a rate of 6 %; in force on the first day given here, perhaps longer', title: 'Amusement device permit', currency: 'USD', amount: '42.00', due: newYear }),
    ],
  }),
  area({
    id: 'us-il',
    code: 'US-IL',
    name: 'Illinois',
    country: 'US',
    currency: 'USD',
    notes: ['Municipalities and counties may tax machines, too.', 'Decals may be transferred to another device.'],
    rules: [
      yearlyTax({ code: 'DECAL', from: '2013-01-25', source: '35 ILCS 510/1 (P.A. 97-1150, effective 25 January 2013): 30 dollars a device from 1 August', title: 'Amusement device decal', currency: 'USD', amount: '30.00', due: { month: 8, day: 1 } }),
    ],
  }),
  area({
    id: 'us-ne',
    code: 'US-NE',
    name: 'Nebraska',
    country: 'US',
    currency: 'USD',
    notes: ['The doubled amount from 2027 on was read in a secondary source.'],
    rules: [
      yearlyTax({
        code: 'DEVICE',
        from: '2025-01-01',
        until: '2027-01-01',
        source: 'Neb. Rev. Stat. 77-3004; in force on the first day given here, perhaps longer',
        title: 'Mechanical amusement device tax',
        currency: 'USD',
        amount: '35.00',
        due: newYear,
        placedLater: { month: 7, day: 1, amount: '20.00' },
      }),
      yearlyTax({ code: 'DEVICE', from: '2027-01-01', source: 'Neb. Rev. Stat. 77-3004 as changed for 2027 (secondary source)', title: 'Mechanical amusement device tax', currency: 'USD', amount: '70.00', due: newYear }),
    ],
  }),
  area({
    id: 'us-ok',
    code: 'US-OK',
    name: 'Oklahoma',
    country: 'US',
    currency: 'USD',
    notes: ['Music and amusement devices; machines that sell goods pay other amounts. The fee stands in place of sales tax.'],
    rules: [
      yearlyTax({ code: 'DECAL', from: '2025-01-01', source: '68 O.S. 1503(A)(1): 75 dollars a year; in force on the first day given here, perhaps longer', title: 'Coin-operated device fee', currency: 'USD', amount: '75.00', due: newYear }),
    ],
  }),
  area({
    id: 'us-tn',
    code: 'US-TN',
    name: 'Tennessee',
    country: 'US',
    currency: 'USD',
    notes: ['There is a master licence of 500, 1,000 or 2,000 dollars a year by number of machines besides, which is no tax of one machine.'],
    rules: [
      yearlyTax({ code: 'MACHINE', from: '2025-07-01', source: 'Tenn. Code Ann. title 67, ch. 4, part 22; Department of Revenue, coin-operated amusement tax: 10 dollars a machine from 1 July', title: 'Individual machine tax', currency: 'USD', amount: '10.00', due: { month: 7, day: 1 } }),
    ],
  }),
  area({
    id: 'us-tx',
    code: 'US-TX',
    name: 'Texas',
    country: 'US',
    currency: 'USD',
    notes: ['There is a licence of 200, 400 or 500 dollars a year by number of machines besides, which is no tax of one machine.', 'The owner is reimbursed the machine tax before the rest is divided.'],
    rules: [
      yearlyTax({ code: 'OCCUPATION', from: '2025-01-01', source: 'Texas Comptroller, coin-operated machines: 60 dollars a machine; in force on the first day given here, perhaps longer', title: 'Occupation tax', currency: 'USD', amount: '60.00', due: newYear }),
    ],
    limits: [limit({ from: '2025-01-01', source: 'Texas Occupations Code 2153.205: at most half of what is left after the tax is reimbursed', document: { kind: 'highest-site-share', percent: percent('50') } })],
  }),
  area({
    id: 'ca-gst',
    code: 'CA-GST',
    name: 'Canada, GST only',
    country: 'CA',
    currency: 'CAD',
    notes: ['A device that takes only a single coin of 25 cents or less is free (s. 165.1(2)): give such machines a kind of their own and leave it out.', 'Provinces that take part add their own rate.'],
    rules: [
      insideTax({ code: 'GST', from: '2017-06-05', source: 'Excise Tax Act (R.S.C. 1985, c. E-15) s. 165(1): 5 %; text current to 5 June 2017', title: 'Goods and services tax', currency: 'CAD', components: [{ id: 'gst', title: 'GST', ratePercent: '5' }] }),
    ],
  }),
];
