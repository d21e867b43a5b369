import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { plainTerms } from '#domain/terms/plain-language';
import type { Charge, ChargeAmount, Terms } from '#domain/terms/types';
import { charge, operator, other, shares, site, terms } from '#tests/support/settlement-inputs';
import { formatAmount, formatDate, formatDecimal } from './words/format';
import { languageOf } from './words/languages';

const LOCALES = ['en-US', 'de-DE', 'es-ES'] as const;

function printed(changes: Partial<Terms>, locale: (typeof LOCALES)[number]): string {
  const language = languageOf(locale);
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

describe.each(LOCALES)('%s', (locale) => {
  test.each(Object.entries(choices))('the statement says %s: whatever was agreed instead reads differently', (_choice, variants) => {
    const texts = variants.map((variant) => printed(variant, locale));
    expect(new Set(texts).size).toBe(variants.length);
    for (const text of texts) {
      expect(text).not.toMatch(/[{}]|undefined|as-the-rule|machine-week|net-takings/);
      if (locale !== 'en-US') expect(text.replaceAll(/Party [\w-]+/g, 'X')).not.toMatch(/\b(the|is|for|of)\b/);
      // Sentences and items of a list begin large and end with a stop; nothing is put together with a gap or a doubled mark.
      expect(text).not.toMatch(/ {2}|\.\.|,,| [.,;:]|\. \p{Ll}/u);
      expect(text).toMatch(/[.]$/);
    }
  });
});

/** All sentences that a usual agreement and a crooked one take, as a native reader wants them. */
test.each([
  [
    'de-DE',
    [
      'Der Aufsteller stellt seine Geräte am Standort auf. Die Einnahmen werden alle vier Wochen abgerechnet, gezählt ab dem 5. Januar 2026.',
      'Abgerechnet wird das gezählte Bargeld. Eine Wertmarke „brass“ zählt 0,25. Bei einem Einbruch gestohlenes Bargeld geht zulasten aller.',
      'Party operator erhält vorab die ersten 75,00 je Woche.',
      'Kartengebühr: 2,5\u00a0% der bargeldlosen Einnahmen an Party operator, für jede Gerätegruppe, vor der Teilung.',
      'Soweit die Einnahmen dafür nicht reichen, wird der Rest auf die nächste Abrechnung vorgetragen.',
      'Was für alle Geräte zusammen verbleibt, wird in Stufen geteilt (je Monat), jede Stufe nach ihren eigenen Anteilen:',
      'Von 0,00 bis unter 1.000,00: Party operator 60\u00a0%, Party site 40\u00a0%. Ab 1.000,00: Party operator 50\u00a0%, Party site 50\u00a0%.',
      'Ein Verlust wird auf die nächste Abrechnung vorgetragen.',
      'Party site erhält für alle Geräte zusammen mindestens 50,00 je Monat, soweit die Anteile der anderen reichen.',
      'Vorschüsse werden mit 12,5\u00a0% des Anteils getilgt. Was ein Zahlungsempfänger schuldet, wird auf die nächste Abrechnung vorgetragen.',
    ],
  ],
  [
    'es-ES',
    [
      'El operador instala sus máquinas en el local. La recaudación se liquida cada cuatro semanas, contadas desde el 5 de enero de 2026.',
      'Se liquida el efectivo contado. Una ficha «brass» vale 0,25. El efectivo sustraído en un robo es pérdida de todos.',
      'Party operator recibe los primeros 75,00 por semana.',
      'Kartengebühr: 2,5\u00a0% de la recaudación sin efectivo para Party operator, en cada grupo de máquinas, antes del reparto.',
      'La parte que la recaudación no cubra se traslada a la liquidación siguiente.',
      'Lo que queda en el conjunto de las máquinas se reparte por tramos (por mes), cada tramo según sus propios porcentajes:',
      'De 0,00 a menos de 1.000,00: Party operator 60\u00a0%, Party site 40\u00a0%. A partir de 1.000,00: Party operator 50\u00a0%, Party site 50\u00a0%.',
      'Las pérdidas se trasladan a la liquidación siguiente.',
      'Party site recibe al menos 50,00 por mes en el conjunto de las máquinas, hasta donde alcancen las participaciones de los demás.',
      'Los anticipos se devuelven con el 12,5\u00a0% de la participación. Lo que deba un beneficiario se traslada a la liquidación siguiente.',
    ],
  ],
] as const)('the terms of a whole agreement in %s', (locale, sentences) => {
  const wide = bands({ bands: [
    { fromMinor: 0n, toMinor: 100_000n, shares: shares([operator, '60'], [site, '40']) },
    { fromMinor: 100_000n, toMinor: null, shares: shares([operator, '50'], [site, '50']) },
  ] });
  const agreed: Partial<Terms> = {
    ...wide,
    ...guarantee({}),
    cycle: { kind: 'four-weeks', anchor: localDate('2026-01-05') },
    tokens: [{ tokenId: 'brass', valueMinor: 25n }],
    charges: [charge(), charge({ id: 'card', title: 'Kartengebühr', scope: 'pool', rest: 'carry', amount: { kind: 'percentage', of: 'cashless-takings', percent: decimal('2.5') } })],
    advances: { kind: 'percentage', percent: decimal('12.5') },
  };
  expect(printed(agreed, locale)).toBe(sentences.join(' '));
});
