import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { formatMinor } from '#domain/money/amount';
import { englishTerms } from '#domain/terms/catalogue-english';
import { plainTerms, plainTermsAt } from '#domain/terms/plain-language';
import { sentenceCodes } from '#domain/terms/sentence-codes';
import { termsSentences } from '#domain/terms/sentences';
import type { Terms } from '#domain/terms/types';
import { charge, operator, other, shares, site, terms } from '#tests/support/settlement-inputs';

const writing: Parameters<typeof plainTerms>[1] = {
  catalogue: englishTerms,
  party: (id) => (id === operator ? 'the operator' : id === site ? 'the bar' : 'the landlord'),
  amount: (minor) => formatMinor(minor, 'USD'),
  percent: (percent) => `${percent} %`,
  date: (date) => date,
};

function said(changes: Partial<Terms>): string[] {
  return plainTerms(terms(changes), writing);
}

test('the first call is said as the trade says it', () => {
  expect(said({ charges: [charge()] })).toEqual([
    'The operator places its machines at the site.',
    'Takings are settled for each calendar month.',
    'The cash that is counted is what is settled.',
    'Cash stolen in a break-in is lost to all.',
    'The operator takes the first 75.00 a week.',
    'The rest is shared: the operator 50 %, the bar 50 %.',
    'A loss is carried to the next settlement.',
    'What a payee owes is carried to the next settlement.',
  ]);
});

test('bands, guarantees, advances and payout', () => {
  const lines = said({
    grouping: 'kind',
    split: {
      kind: 'bands',
      method: 'marginal',
      scope: 'agreement',
      per: 'month',
      bands: [
        { fromMinor: 0n, toMinor: 100_000n, shares: shares([operator, '60'], [site, '40']) },
        { fromMinor: 100_000n, toMinor: null, shares: shares([operator, '50'], [site, '50']) },
      ],
    },
    guarantees: [
      { id: 'a', kind: 'at-least', party: site, amountMinor: 20_000n, per: 'month', scope: 'agreement', from: 'operator' },
      { id: 'b', kind: 'at-most', party: site, amountMinor: 90_000n, per: 'period', scope: 'pool', excessTo: operator },
    ],
    advances: { kind: 'percentage', percent: decimal('12.5') },
    payout: { smallestMinor: 1000n, negative: 'claim', smallestCoinMinor: 5n },
  });
  expect(lines.slice(2)).toEqual([
    'The cash that is counted is what is settled.',
    'Machines of one kind are settled together.',
    'Cash stolen in a break-in is lost to all.',
    'What is left for all machines together is shared in slices (a month), each by its own shares:',
    'From 0.00 to below 1000.00: the operator 60 %, the bar 40 %.',
    'From 1000.00: the operator 50 %, the bar 50 %.',
    'A loss is carried to the next settlement.',
    'The bar gets at least 200.00 a month for all machines together; the operator pays what is missing.',
    'The bar gets at most 900.00 per settlement for each group of machines; what is above goes to the operator.',
    'Advances are paid back with 12.5 % of the share.',
    'Less than 10.00 is not paid but carried to the next settlement.',
    'What a payee owes is due at once.',
    'Payment in cash is rounded to 0.05.',
  ]);
});

test('a charge that is no first call says its title, scope and what becomes of the rest', () => {
  const rent = charge({
    id: 'rent',
    title: 'Table rent',
    to: other,
    scope: 'machine',
    amount: { kind: 'amount', per: 'machine-week', amountMinor: 1000n },
    rest: 'carry',
  });
  const fees = charge({
    id: 'fees',
    title: 'Card fees',
    scope: 'pool',
    amount: { kind: 'percentage', of: 'cashless-takings', percent: decimal('2.5') },
  });
  expect(said({ charges: [rent, fees] })).toEqual(
    expect.arrayContaining([
      'Table rent: 10.00 per machine and week to the landlord, for each machine, before anything is shared.',
      'What the takings do not reach of it is carried to the next settlement.',
      'Card fees: 2.5 % of cashless takings to the operator, for each group of machines, before anything is shared.',
      'What the takings do not reach of it lapses.',
    ]),
  );
});

test('four weeks, weeks and visits', () => {
  expect(said({ cycle: { kind: 'four-weeks', anchor: localDate('2026-01-05') } })[1]).toBe(
    'Takings are settled every four weeks, counted from 2026-01-05.',
  );
  expect(said({ cycle: { kind: 'week', startsOnWeekday: 7 } })[1]).toBe('Takings are settled each week, which begins on Sunday.');
  expect(said({ cycle: { kind: 'visit' } })[1]).toBe('Each visit is settled on its own.');
});

test('every sentence can be said: each code comes up in some terms', () => {
  const other_ = { id: other, role: 'other' } as const;
  const band = { fromMinor: 0n, toMinor: null, shares: shares([operator, '50'], [site, '50']) };
  const bands = {
    kind: 'bands',
    scope: 'pool',
    per: 'period',
    bands: [
      { ...band, toMinor: 5n },
      { ...band, fromMinor: 5n },
    ],
  } as const;
  const guarantee = { id: 'g', party: site, amountMinor: 1n, per: 'year', scope: 'agreement' } as const;
  const variety: Partial<Terms>[] = [
    { charges: [charge()], tax: { filedBy: 'operator', borneBy: 'all' }, tokens: [{ tokenId: 'brass', valueMinor: 25n }] },
    {
      arrangement: 'space-lease',
      parties: [...terms().parties, other_],
      cycle: { kind: 'four-weeks', anchor: localDate('2026-01-05') },
      basis: 'metered',
      grouping: 'kind',
      breakIns: { borneBy: 'operator' },
      tax: { filedBy: 'site', borneBy: 'operator' },
    },
    {
      arrangement: 'joint-venture',
      cycle: { kind: 'week', startsOnWeekday: 1 },
      grouping: 'machine',
      breakIns: { borneBy: 'site' },
      split: { ...bands, method: 'marginal' },
      loss: 'share',
    },
    {
      cycle: { kind: 'visit' },
      split: { ...bands, method: 'whole' },
      charges: [charge({ rest: 'carry' }), charge({ id: 'b', amount: { kind: 'percentage', of: 'net-takings', percent: decimal('1') } })],
    },
    {
      guarantees: [
        { ...guarantee, kind: 'at-least', from: 'others' },
        { ...guarantee, kind: 'at-least', from: 'operator' },
        { ...guarantee, kind: 'at-most', excessTo: operator },
      ],
    },
    { advances: { kind: 'fixed', amountMinor: 5n }, payout: { smallestMinor: 5n, negative: 'claim', smallestCoinMinor: 5n } },
    { advances: { kind: 'percentage', percent: decimal('5') }, cashless: 'by-collection' },
  ];
  const used = new Set(variety.flatMap((changes) => termsSentences(terms(changes)).map((each) => each.code)));
  expect(sentenceCodes.filter((code) => !used.has(code))).toEqual([]);
  for (const changes of variety) expect(said(changes).join(' ')).not.toMatch(/[{}]/);
});

test('who bears the tax and what becomes of a rest are said as they are', () => {
  expect(said({ tax: { filedBy: 'site', borneBy: 'all' } })).toEqual(
    expect.arrayContaining(['The bar files the tax.', 'Tax is taken out before anything is shared.']),
  );
  expect(said({ tax: { filedBy: 'operator', borneBy: 'operator' } })).toEqual(
    expect.arrayContaining(['The operator files the tax.', 'Tax comes out of the operator’s share.']),
  );
  const rests = (rest: 'lapse' | 'carry') => said({ charges: [charge({ scope: 'pool', rest })] }).filter((line) => line.startsWith('What the takings'));
  expect(rests('lapse')).toEqual(['What the takings do not reach of it lapses.']);
  expect(rests('carry')).toEqual(['What the takings do not reach of it is carried to the next settlement.']);
  expect(said({ tokens: [{ tokenId: 'brass', valueMinor: 25n }] })).toContain('A token “brass” counts as 0.25.');
});

test.each([
  ['the second charge', [charge({ id: 'a', scope: 'pool' }), charge({ id: 'b' })]],
  ['a charge per year', [charge({ amount: { kind: 'amount', per: 'year', amountMinor: 100n } })]],
  ['a charge of each pool', [charge({ scope: 'pool' })]],
  ['a charge whose rest is carried', [charge({ rest: 'carry' })]],
] as const)('%s is no first call', (_title, charges) => {
  expect(said({ charges: [...charges] }).filter((line) => line.includes('takes the first'))).toEqual([]);
});

test('a member of the terms is said as it is said among all of them', () => {
  const agreed = { charges: [charge(), charge({ id: 'card', rest: 'carry' })], guarantees: [{ id: 'a', kind: 'at-least', party: site, amountMinor: 20_000n, per: 'month', scope: 'agreement', from: 'operator' }] } satisfies Partial<Terms>;
  const pointers = ['/arrangement', '/cycle', '/cashless', '/basis', '/grouping', '/tokens', '/breakIns', '/charges/0', '/charges/1', '/split/shares', '/split/bands/0/shares', '/loss', '/guarantees/0', '/advances', '/payout'];
  const all = said(agreed);
  for (const pointer of pointers) expect(all).toEqual(expect.arrayContaining(plainTermsAt(terms(agreed), pointer, writing)));
  expect(plainTermsAt(terms(agreed), '/charges/0', writing)).toEqual(['The operator takes the first 75.00 a week.']);
  expect(plainTermsAt(terms(agreed), '/loss', writing)).toEqual(['A loss is carried to the next settlement.']);
  expect(plainTermsAt(terms(agreed), '/nothing', writing)).toEqual([]);
});
