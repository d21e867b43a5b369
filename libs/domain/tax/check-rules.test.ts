import { localDate } from '#domain/calendar/local-date';
import { decimal } from '#domain/money/decimal';
import { checkTaxRules } from '#domain/tax/check-rules';
import type { TaxRule } from '#domain/tax/types';
import { fixedRule, insideRule, takingsRule } from '#tests/support/settlement-inputs';

function problemsOf(...rules: readonly TaxRule[]): string[] {
  return checkTaxRules(rules).map(({ pointer, code }) => `${pointer} ${code}`);
}

const due = { kind: 'when-due', month: 1, day: 1, onPlacement: true } as const;
const part = { id: 'part-1', title: 'Part 1', amountMinor: 5n, placedLater: null };

test('rules that can be computed have no problems', () => {
  expect(
    problemsOf(insideRule(['4', '0.5']), takingsRule(['5'], { id: 'r2', taxId: 't2' }), fixedRule(1000n, { id: 'r3', taxId: 't3', timing: due })),
  ).toEqual([]);
  const change = localDate('2026-07-01');
  expect(problemsOf(insideRule(['4'], { until: change }), insideRule(['5'], { id: 'r2', from: change }))).toEqual([]);
  expect(problemsOf(insideRule(['4'], { machineKinds: ['a'] }), insideRule(['5'], { id: 'r2', taxId: 't2', machineKinds: ['b'] }))).toEqual([]);
});

test.each<[string, readonly TaxRule[], string[]]>([
  ['a rule that ends on its first day', [insideRule(['4'], { until: localDate('2020-01-01') })], ['/0/until ends-before-it-starts']],
  ['no components', [takingsRule([])], ['/0/components components-missing']],
  ['a component twice', [fixedRule(1n, { components: [part, part] })], ['/0/components/1/id component-used-twice']],
  ['a rate over 100 %', [takingsRule(['100.5'])], ['/0/components/0/ratePercent rate-out-of-range', '/0/components rates-above-hundred']],
  ['rates over 100 % together', [insideRule(['60', '50'])], ['/0/components rates-above-hundred']],
  ['a negative rate', [insideRule(['-1'])], ['/0/components/0/ratePercent rate-out-of-range']],
  ['a negative cap', [insideRule(['4'], { capPerMachineMonthMinor: -1n })], ['/0/capPerMachineMonthMinor amount-out-of-range']],
  ['a cap beyond any box', [takingsRule(['4'], { capPerMachineMonthMinor: 10n ** 16n })], ['/0/capPerMachineMonthMinor amount-out-of-range']],
  [
    'a component for kinds that the rule leaves out',
    [takingsRule([], { machineKinds: ['a'], components: [{ id: 'p', title: 'P', ratePercent: decimal('5'), machineKinds: ['b'] }] })],
    ['/0/components/0/machineKinds kind-not-covered-by-rule'],
  ],
  ['due on 30 February', [fixedRule(1n, { timing: { ...due, month: 2, day: 30 } })], ['/0/timing no-such-day']],
  ['due in month 13', [fixedRule(1n, { timing: { ...due, month: 13 } })], ['/0/timing no-such-day']],
  ['a fixed amount below zero', [fixedRule(-1n)], ['/0/components/0/amountMinor amount-out-of-range']],
  [
    'a later amount where nothing is due on placement',
    [fixedRule(1n, { components: [{ ...part, placedLater: { month: 7, day: 1, amountMinor: 1n } }] })],
    ['/0/components/0/placedLater placed-later-needs-placement'],
  ],
  [
    'a later amount from 31 June, below zero',
    [fixedRule(1n, { timing: due, components: [{ ...part, placedLater: { month: 6, day: 31, amountMinor: -1n } }] })],
    ['/0/components/0/placedLater/amountMinor amount-out-of-range', '/0/components/0/placedLater no-such-day'],
  ],
  ['the same row twice', [insideRule(['4']), insideRule(['4'])], ['/1/id rule-listed-twice']],
  [
    'rows of one tax that overlap',
    [takingsRule(['4'], { until: localDate('2026-07-02') }), takingsRule(['4'], { id: 'r2', from: localDate('2026-07-01') })],
    ['/1/from rows-overlap'],
  ],
  [
    'two taxes inside one price',
    [insideRule(['4'], { machineKinds: ['a', 'b'] }), insideRule(['5'], { id: 'r2', taxId: 't2', machineKinds: ['b'] })],
    ['/1 two-inside-rules'],
  ],
])('%s is refused', (_title, rules, expected) => {
  expect(problemsOf(...rules)).toEqual(expected);
});
