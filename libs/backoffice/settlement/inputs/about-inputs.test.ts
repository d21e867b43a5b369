import { checkInputs } from '#domain/settlement/check-inputs';
import type { Guarantee } from '#domain/terms/types';
import { count, inputs, operator, period, site, version } from '#tests/support/settlement-inputs';
import { aboutInputs } from './about-inputs';

const cap = { kind: 'at-most', id: 'a', party: site, amountMinor: 100n, per: 'month', scope: 'agreement', excessTo: operator } as const satisfies Guarantee;

const saidOf = (current: ReturnType<typeof period>): string[] => {
  const given = inputs(current);
  return checkInputs(given).map((problem) => aboutInputs(problem, given));
};

test('signed caps that pass their excess round in a circle are named with their day, and what to do', () => {
  const round = version('2026-01-01', { guarantees: [cap, { ...cap, id: 'b', party: operator, excessTo: site }] });
  expect(saidOf(period('2026-01-01', '2026-02-01', { versions: [round] }))).toEqual([
    'excess-in-a-circle: the terms in force from 1 January 2026 cannot be carried out. What is above this cap comes back to the same party by way of the other caps: nobody would be capped. Sign corrected terms from that day on, and settle the period again',
  ]);
});

test('a count without its meters says what to enter, and damage keeps its code', () => {
  const metered = version('2026-01-01', { basis: 'metered' });
  expect(saidOf(period('2026-01-01', '2026-02-01', { versions: [metered], counts: [count('A', '2026-01-15', 1n)] }))[0]).toMatch(/^metered-amount-missing: the terms go by the meters/);
  expect(saidOf(period('2026-02-01', '2026-01-01'))).toEqual(['period-ends-before-it-starts']);
});
