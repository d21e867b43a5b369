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

test.each<[string, readonly TaxRule[]]>([
  ['rates of 0 and 100 %', [takingsRule(['0', '100'])]],
  ['a cap of nothing', [takingsRule(['4'], { capPerMachineMonthMinor: 0n })]],
  ['amounts of nothing and of 10^15', [fixedRule(0n), fixedRule(10n ** 15n, { id: 'r2', taxId: 't2' })]],
  ...([1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12] as const).map((month): [string, readonly TaxRule[]] => [
    `due on the last day of month ${month}`,
    [fixedRule(1n, { timing: { ...due, month, day: [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31][month - 1] ?? 0 } })],
  ]),
  ['a later amount from 1 July', [fixedRule(1n, { timing: due, components: [{ ...part, placedLater: { month: 7, day: 1, amountMinor: 0n } }] })]],
  ['a part of all kinds under a rule for one', [takingsRule(['5'], { machineKinds: ['a'] })]],
  [
    'a part for some of the kinds of a rule',
    [takingsRule([], { machineKinds: ['a', 'b'], components: [{ id: 'p', title: 'P', ratePercent: decimal('5'), machineKinds: ['b'] }] })],
  ],
  ['a part for one kind under a rule for all', [takingsRule([], { components: [{ id: 'p', title: 'P', ratePercent: decimal('5'), machineKinds: ['b'] }] })]],
  ['rows listed with the later one first', [takingsRule(['4'], { from: localDate('2026-07-01') }), takingsRule(['5'], { id: 'r2', until: localDate('2026-07-01') })]],
  ['a tax inside the price and one on takings', [insideRule(['4']), takingsRule(['5'], { id: 'r2', taxId: 't2' })]],
  [
    'two taxes inside one price, one after the other',
    [insideRule(['4'], { until: localDate('2026-07-01') }), insideRule(['5'], { id: 'r2', taxId: 't2', from: localDate('2026-07-01') })],
  ],
])('%s is fine', (_title, rules) => {
  expect(checkTaxRules(rules)).toEqual([]);
});

test.each<[string, readonly TaxRule[], string[]]>([
  ['due on day 0', [fixedRule(1n, { timing: { ...due, day: 0 } })], ['/0/timing no-such-day']],
  ['due on day 1.5', [fixedRule(1n, { timing: { ...due, day: 1.5 } })], ['/0/timing no-such-day']],
  ['due in month 0', [fixedRule(1n, { timing: { ...due, month: 0 } })], ['/0/timing no-such-day']],
  ['due on 31 April', [fixedRule(1n, { timing: { ...due, month: 4, day: 31 } })], ['/0/timing no-such-day']],
  [
    'a later amount where nothing is due at placement',
    [fixedRule(1n, { timing: { ...due, onPlacement: false }, components: [{ ...part, placedLater: { month: 7, day: 1, amountMinor: 1n } }] })],
    ['/0/components/0/placedLater placed-later-needs-placement'],
  ],
  [
    'a part for a kind more than the rule has',
    [takingsRule([], { machineKinds: ['a'], components: [{ id: 'p', title: 'P', ratePercent: decimal('5'), machineKinds: ['a', 'b'] }] })],
    ['/0/components/0/machineKinds kind-not-covered-by-rule'],
  ],
  ['a tax inside the price of all and of some', [insideRule(['4']), insideRule(['5'], { id: 'r2', taxId: 't2', machineKinds: ['b'] })], ['/1 two-inside-rules']],
  ['a tax inside the price of some and of all', [insideRule(['4'], { machineKinds: ['b'] }), insideRule(['5'], { id: 'r2', taxId: 't2' })], ['/1 two-inside-rules']],
])('%s is refused as well', (_title, rules, expected) => {
  expect(problemsOf(...rules)).toEqual(expected);
});

test.each<[string, readonly TaxRule[], Record<string, string>]>([
  ['the rate', [takingsRule(['-1'])], { rate: '-1' }],
  ['the row that it overlaps', [takingsRule(['4']), takingsRule(['4'], { id: 'r2' })], { other: 'rule-1' }],
  ['the other tax inside the price', [insideRule(['4']), insideRule(['4'], { id: 'r2', taxId: 't2' })], { other: 'rule-1' }],
])('a refusal names %s', (_title, rules, parameters) => {
  expect(checkTaxRules(rules)[0]?.parameters).toEqual(parameters);
});
