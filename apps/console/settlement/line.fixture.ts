import { localDate } from '#domain/calendar/local-date';
import type { SettlementLine } from '../api/shapes';

/** A line of a settlement for tests: only what the test is about has to be said. */
export function lineOf(more: Partial<SettlementLine> & Pick<SettlementLine, 'kind'>, amount: string): SettlementLine {
  return {
    lineNumber: 1, periodStartsOn: localDate('2026-10-01'), step: 'takings', label: more.kind, title: null, machineTag: null, party: null, why: null,
    amount: { amount, currency: 'USD' }, ...more,
  };
}
