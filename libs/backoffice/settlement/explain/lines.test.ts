import fc from 'fast-check';
import type { SettlementLine, Why } from '#contracts/settlement';
import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { englishExplanations } from '#domain/settlement/explanations-english';
import { allLineKinds, type Formula } from '#domain/settlement/lines';
import { settle } from '#domain/settlement/settle';
import type { SettlementInputs, SettlementResult } from '#domain/settlement/types';
import { arbitraryEvents, arbitraryTaxRules, arbitraryVersions } from '#tests/support/settlement-arbitrary';
import { count, inputs, machine, period, site, version } from '#tests/support/settlement-inputs';
import { issueAll, periodDays, span, type Agreement } from '#tests/support/settlement-timeline';
import { explainedLines } from './lines';
import { speechFor } from './speech';

const inFull = { explain: true, inFull: true } as const;

const agreement: fc.Arbitrary<Agreement> = fc.record({ versions: arbitraryVersions(span), taxRules: arbitraryTaxRules(span) });
const eventsWithDelay = arbitraryEvents(span, { maxEvents: 14 }).chain((events) =>
  fc.tuple(fc.constant(events), fc.array(fc.integer({ min: 0, max: periodDays.length }), { minLength: events.length, maxLength: events.length })),
);

/** An advance, cash handed over and a balance brought forward: what comes from the books and not from boxes. */
const withPayout: SettlementInputs = inputs(
  period('2026-01-01', '2026-02-01', {
    versions: [version('2020-01-01', { advances: { kind: 'percentage', percent: decimal('12.5') } })],
    machines: [machine('1')],
    counts: [count('1', '2026-01-20', 10_101n)],
  }),
  {
    advances: [{ id: 'a', party: site, openMinor: 5_000n }],
    handedCash: [{ id: 'h', party: site, collectionId: null, date: localDate('2026-01-20'), amountMinor: 700n, reason: 'handed' }],
    carriedItems: [{ id: 'i', party: site, amountMinor: -42n }],
  },
);

/** What a figure lacks of step, inputs, dated rule, exact value and sentence; empty when nothing. */
function lacking(line: SettlementLine): string[] {
  const why: Why | null = line.why;
  if (why === null) return ['everything'];
  const { ruleVersion, exactValue } = why;
  return [
    ...(why.step === line.step ? [] : ['step']),
    ...(/^[A-Z].*[.]$/.test(why.text) ? [] : ['sentence']),
    ...(why.inputs.length > 0 && why.inputs.every(({ label, value }) => /^[A-Z]/.test(label) && value !== null) ? [] : [`inputs ${JSON.stringify(why.inputs)}`]),
    ...(/^\d{4}-\d\d-\d\d$/.test(ruleVersion.startsOn) && (ruleVersion.of === 'terms' ? ruleVersion.versionId : ruleVersion.ruleId) !== '' ? [] : ['rule']),
    ...(/^-?\d+$/.test(exactValue.numerator) && /^[1-9]\d*$/.test(exactValue.denominator) ? [] : ['exact value']),
  ];
}

test('no figure lacks step, inputs, dated rule, exact value or sentence, whatever the terms, the tax and what came late', () => {
  const kinds = new Set<string>();
  const formulas = new Set<Formula>();
  const look = (given: SettlementInputs, result: SettlementResult): void => {
    for (const line of explainedLines({ inputs: given, result, partyName: (party) => `Party ${party}`, speech: speechFor(undefined) })) {
      kinds.add(line.kind);
      expect([line.kind, line.why?.text, lacking(line)]).toEqual([line.kind, line.why?.text, []]);
    }
    for (const line of [...result.periods.flatMap((each) => each.lines), ...result.payoutLines]) if (line.explanation !== undefined) formulas.add(line.explanation.formula);
  };
  look(withPayout, settle(withPayout, inFull));
  fc.assert(
    fc.property(agreement, eventsWithDelay, (terms, [events, delays]) => {
      const issued = issueAll(terms, events.map((event, index) => ({ event, knownIn: delays[index] ?? 0 })));
      for (const given of issued.inputs) look(given, settle(given, inFull));
    }),
    { numRuns: 250, seed: 20 },
  );
  // Everything that can stand in a settlement came up, so nothing was left unasked.
  expect(allLineKinds.filter((kind) => !kinds.has(kind))).toEqual([]);
  expect(Object.keys(englishExplanations.formulas).filter((formula) => !formulas.has(formula as Formula))).toEqual([]);
});

/** Figures that are rounded once by themselves or by the largest remainder lie less than a unit from their exact value. */
const roundedOnce: ReadonlySet<Formula> = new Set<Formula>(['share-by-percent', 'share-by-bands', 'percentage', 'amount-by-days', 'base-without-tax', 'allocated']);
/** A later component of a tax that is rounded together takes at most what is left of it, so it may be less. */
const atMost: ReadonlySet<Formula> = new Set<Formula>(['taxable-times-rate', 'base-times-rate']);

test('the exact value is the one that was rounded', () => {
  let rounded = 0;
  fc.assert(
    fc.property(agreement, arbitraryEvents(span, { maxEvents: 14 }), (terms, events) => {
      const issued = issueAll(terms, events.map((event) => ({ event, knownIn: 0 })));
      for (const { lines } of issued.inputs.flatMap((given) => settle(given, inFull).periods)) {
        for (const { amountMinor, explanation } of lines) {
          if (explanation === undefined || !(roundedOnce.has(explanation.formula) || atMost.has(explanation.formula)) || explanation.exact === null) continue;
          const { numerator, denominator } = explanation.exact;
          const away = amountMinor * denominator - numerator;
          expect([explanation.formula, away < denominator && (-away < denominator || atMost.has(explanation.formula))]).toEqual([explanation.formula, true]);
          rounded += denominator === 1n ? 0 : 1;
        }
      }
    }),
    { numRuns: 150, seed: 21 },
  );
  expect(rounded).toBeGreaterThan(100);
});

test('a dated rule names the version and its days, and the member that the figure comes from', () => {
  const two = inputs(
    period('2026-01-01', '2026-02-01', {
      versions: [version('2020-01-01'), version('2026-01-15', { loss: 'share' })],
      machines: [machine('1')],
      counts: [count('1', '2026-01-10', 1_000n), count('1', '2026-01-20', 2_000n)],
    }),
  );
  const cash = explainedLines({ inputs: two, result: settle(two, inFull), partyName: (party) => party, speech: speechFor(undefined) }).filter((line) => line.kind === 'cash');
  const opening = explainedLines({ inputs: two, result: settle(two, inFull), partyName: (party) => `the ${party}`, speech: speechFor(undefined) }).find((line) => line.kind === 'share');
  expect(opening?.why?.rule).toMatch(/^Terms in force from 1 January 2020: What is left is shared: the \w+ \d+\u00a0%, the \w+ \d+\u00a0%\.$/);
  expect(cash.map((line) => line.why?.ruleVersion)).toEqual([
    { of: 'terms', versionId: 'version-2020-01-01', startsOn: '2020-01-01', endsBefore: '2026-01-15', pointer: '/basis' },
    { of: 'terms', versionId: 'version-2026-01-15', startsOn: '2026-01-15', endsBefore: null, pointer: '/basis' },
  ]);
});
