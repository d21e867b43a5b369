import { decimal } from '#domain/money/decimal';
import { documentPointer, fromTerms, termsSchema, toTerms } from '#contracts/terms';
import { charge, operator, other, shares, site, terms } from '#tests/support/settlement-inputs';
import { localDate } from '#domain/calendar/local-date';

const full = terms({
  parties: [
    { id: operator, role: 'operator' },
    { id: site, role: 'site' },
    { id: other, role: 'other' },
  ],
  cycle: { kind: 'four-weeks', anchor: localDate('2026-01-05') },
  basis: 'metered',
  grouping: 'kind',
  tokens: [{ tokenId: 'brass', valueMinor: 25n }],
  charges: [
    charge(),
    charge({
      id: 'card-fees',
      title: 'Card fees',
      scope: 'pool',
      amount: { kind: 'percentage', of: 'cashless-takings', percent: decimal('2.5') },
      rest: 'carry',
    }),
  ],
  split: {
    kind: 'bands',
    method: 'marginal',
    scope: 'agreement',
    per: 'week',
    bands: [
      { fromMinor: 0n, toMinor: 10_000n, shares: shares([operator, '60'], [site, '30'], [other, '10']) },
      { fromMinor: 10_000n, toMinor: null, shares: shares([operator, '50'], [site, '40'], [other, '10']) },
    ],
  },
  guarantees: [
    { id: 'floor', kind: 'at-least', party: site, amountMinor: 5000n, per: 'month', scope: 'agreement', from: 'operator' },
    { id: 'lid', kind: 'at-most', party: site, amountMinor: 90_000n, per: 'period', scope: 'pool', excessTo: operator },
  ],
  advances: { kind: 'fixed', amountMinor: 2000n },
  payout: { smallestMinor: 1000n, negative: 'claim', smallestCoinMinor: 5n },
});

test('terms survive the way out and back, through JSON', () => {
  const sent: unknown = JSON.parse(JSON.stringify(fromTerms(full)));
  const parsed = termsSchema.parse(sent);
  expect(toTerms(parsed)).toEqual(full);
  expect(parsed.charges[0]?.amount).toEqual({ kind: 'amount', per: 'week', amount: '75.00' });
});

test('other ways to work off an advance, and plain shares', () => {
  const changed = terms({ advances: { kind: 'percentage', percent: decimal('12.5') } });
  expect(toTerms(termsSchema.parse(fromTerms(changed)))).toEqual(changed);
});

test.each<[string, (document: ReturnType<typeof fromTerms>) => unknown, string]>([
  ['an unknown kind of split', (document) => ({ ...document, split: { kind: 'lottery' } }), 'split.kind'],
  ['an unknown cycle', (document) => ({ ...document, cycle: { kind: 'moon' } }), 'cycle.kind'],
  ['an unknown basis', (document) => ({ ...document, basis: 'guessed' }), 'basis'],
  ['an unknown guarantee', (document) => ({ ...document, guarantees: [{ ...document.guarantees[0], kind: 'about' }] }), 'guarantees.0.kind'],
  [
    'an unknown unit',
    (document) => ({ ...document, charges: [{ ...document.charges[0], amount: { kind: 'amount', per: 'hour', amount: '1.00' } }] }),
    'charges.0.amount.per',
  ],
  ['a field too many', (document) => ({ ...document, discount: '5' }), ''],
  ['a number for an amount', (document) => ({ ...document, payout: { ...document.payout, smallest: 10 } }), 'payout.smallest'],
  ['too many digits', (document) => ({ ...document, payout: { ...document.payout, smallest: '10.000' } }), 'payout.smallest'],
  ['an amount with a comma', (document) => ({ ...document, tokens: [{ tokenId: 'brass', value: '0,25' }] }), 'tokens.0.value'],
  ['a smallest coin without digits', (document) => ({ ...document, payout: { ...document.payout, smallestCoin: '1' } }), 'payout.smallestCoin'],
  ['an advance in words', (document) => ({ ...document, advances: { kind: 'fixed', amount: 'ten' } }), 'advances.amount'],
  [
    'a guarantee beyond any box',
    (document) => ({ ...document, guarantees: [{ ...document.guarantees[0], amount: '99999999999999.00' }] }),
    'guarantees.0.amount',
  ],
  ['a percentage with ten places', (document) => ({ ...document, advances: { kind: 'percentage', percent: '1.0000000001' } }), 'advances.percent'],
  ['a day that does not exist', (document) => ({ ...document, cycle: { kind: 'four-weeks', anchor: '2026-02-30' } }), 'cycle.anchor'],
  ['an unknown currency', (document) => ({ ...document, currency: 'XYZ' }), 'currency'],
])('%s is refused at its place', (_title, change, path) => {
  const parsed = termsSchema.safeParse(change(fromTerms(full)));
  expect(parsed.success).toBe(false);
  expect(parsed.error?.issues.map((issue) => issue.path.join('.'))).toEqual([path]);
});

test('a yen has no digits after the point', () => {
  const yen = { ...fromTerms(terms({ currency: 'JPY' })), charges: [] };
  expect(toTerms(termsSchema.parse({ ...yen, payout: { ...yen.payout, smallest: '500' } })).payout.smallestMinor).toBe(500n);
});

test('a problem of the domain is shown at the same place of the document', () => {
  expect(documentPointer('/charges/0/amount/amountMinor')).toBe('/charges/0/amount/amount');
  expect(documentPointer('/split/shares/1/percent')).toBe('/split/shares/1/percent');
});
