import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { plainTerms } from '#domain/terms/plain-language';
import type { Charge, ChargeAmount, Terms } from '#domain/terms/types';
import { charge, operator, other, shares, site, terms } from '#tests/support/settlement-inputs';
import { formatAmount, formatDate, formatDecimal } from './words/format';
import { languageOf } from './words/languages';

function printed(changes: Partial<Terms>): string {
  const language = languageOf('en-US');
  const { words, conventions } = language;
  return plainTerms(terms({ parties: [...terms().parties, { id: other, role: 'other' }], ...changes }), {
    catalogue: words.termsCatalogue,
    party: (id) => `Party ${id}`,
    amount: (minor) => formatAmount(minor, 'USD', conventions),
    percent: (percent) => words.sharing.percent(formatDecimal(percent, conventions)),
    date: (date) => formatDate(date, language),
  }).join(' ');
}

const of = (amount: ChargeAmount): Partial<Terms> => ({ charges: [charge({ to: other, amount })] });
const charged = (changes: Partial<Charge>): Partial<Terms> => ({ charges: [charge({ to: other, ...changes })] });
const bands = (changes: object): Partial<Terms> => ({
  split: {
    kind: 'bands', method: 'marginal', scope: 'agreement', per: 'month',
    bands: [
      { fromMinor: 0n, toMinor: 10_000n, shares: shares([operator, '60'], [site, '40']) },
      { fromMinor: 10_000n, toMinor: null, shares: shares([operator, '50'], [site, '50']) },
    ],
    ...changes,
  },
});
const guarantee = (changes: object): Partial<Terms> => ({
  guarantees: [{ id: 'g', kind: 'at-least', party: site, amountMinor: 5_000n, per: 'month', scope: 'agreement', from: 'others', ...changes }],
});
const percent = decimal('5');

/** For every choice that terms leave, all that can be chosen. */
const choices: { readonly [choice: string]: readonly Partial<Terms>[] } = {
  arrangement: (['machine-lease', 'space-lease', 'joint-venture'] as const).map((arrangement) => ({ arrangement })),
  cycle: [{ cycle: { kind: 'month' } }, { cycle: { kind: 'four-weeks', anchor: localDate('2026-01-05') } }, ...[1, 2, 3, 4, 5, 6, 7].map((startsOnWeekday) => ({ cycle: { kind: 'week', startsOnWeekday } as const })), { cycle: { kind: 'visit' } }],
  basis: [{ basis: 'counted' }, { basis: 'metered' }],
  grouping: (['site', 'kind', 'machine'] as const).map((grouping) => ({ grouping })),
  'who files the tax': (['as-the-rule-says', 'operator', 'site'] as const).map((filedBy) => ({ tax: { filedBy, borneBy: 'as-the-rule-says' } })),
  'who bears the tax': (['as-the-rule-says', 'all', 'operator'] as const).map((borneBy) => ({ tax: { filedBy: 'as-the-rule-says', borneBy } })),
  tokens: [{}, { tokens: [{ tokenId: 'brass', valueMinor: 25n }] }, { tokens: [{ tokenId: 'brass', valueMinor: 50n }] }],
  cashless: [{ cashless: 'by-day' }, { cashless: 'by-collection' }],
  'break-ins': (['all', 'operator', 'site'] as const).map((borneBy) => ({ breakIns: { borneBy } })),
  'the amount of a charge': [
    ...(['week', 'month', 'year', 'period', 'visit', 'machine-week', 'machine-month'] as const).map((per) => of({ kind: 'amount', per, amountMinor: 500n })),
    ...(['net-takings', 'cashless-takings', 'what-is-left'] as const).map((base) => of({ kind: 'percentage', of: base, percent })),
  ],
  'whom a charge goes to': [operator, site, other].map((to) => charged({ to })),
  'the scope of a charge': (['agreement', 'pool', 'machine'] as const).map((scope) => charged({ scope })),
  'the rest of a charge': (['lapse', 'carry'] as const).map((rest) => charged({ rest })),
  'the rest of a first call': (['lapse', 'carry'] as const).map((rest) => ({ charges: [charge({ rest })] })),
  split: [{ split: { kind: 'shares', shares: shares([operator, '60'], [site, '40']) } }, { split: { kind: 'shares', shares: shares([operator, '50'], [site, '50']) } }, bands({}), bands({ method: 'whole' })],
  'the scope of bands': [bands({ scope: 'agreement' }), bands({ scope: 'pool' })],
  'the time of bands': ['week', 'month', 'year', 'period'].map((per) => bands({ per })),
  loss: [{ loss: 'carry' }, { loss: 'share' }],
  guarantees: [guarantee({}), guarantee({ from: 'operator' }), guarantee({ kind: 'at-most', excessTo: operator }), guarantee({ kind: 'at-most', excessTo: other }), guarantee({ party: other })],
  'the time of a guarantee': ['week', 'month', 'year', 'period'].map((per) => guarantee({ per })),
  'the scope of a guarantee': ['agreement', 'pool', 'machine'].map((scope) => guarantee({ scope })),
  advances: [{ advances: { kind: 'none' } }, { advances: { kind: 'fixed', amountMinor: 500n } }, { advances: { kind: 'percentage', percent } }],
  'the smallest payout': [0n, 500n].map((smallestMinor) => ({ payout: { ...terms().payout, smallestMinor } })),
  'what a payee owes': (['carry', 'claim'] as const).map((negative) => ({ payout: { ...terms().payout, negative } })),
  'the smallest coin': [null, 5n, 10n].map((smallestCoinMinor) => ({ payout: { ...terms().payout, smallestCoinMinor } })),
};

test.each(Object.entries(choices))('the statement says %s: whatever was agreed instead reads differently', (_choice, variants) => {
  const texts = variants.map(printed);
  expect(new Set(texts).size).toBe(variants.length);
  for (const text of texts) expect(text).not.toMatch(/[{}]|undefined|as-the-rule|machine-week|net-takings/);
});
