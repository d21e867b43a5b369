import type { LocalDate } from '#domain/calendar/local-date';
import type { StepRow } from './advance.sql';
import { freeMinorFrom } from './to-advance';

function step(day: string, amountMinor: bigint): StepRow {
  return {
    reduction_id: null, undone: false, advance_id: 'advance',
    kind: amountMinor < 0n ? 'recouped' : 'recoup-reversed',
    accounting_date: day as LocalDate,
    amount_minor: amountMinor,
    settlement_id: null,
    number: null,
    document: '',
    reason: '',
    recorded_at: new Date(0),
    recorded_by: 'system:test',
  };
}

describe('what may be taken off an advance at a day', () => {
  const given = { amount_minor: 100n };

  it('is all of it where nothing happened yet', () => {
    expect(freeMinorFrom(given, [], '2026-02-01')).toBe(100n);
  });

  it('is what is left at the end of that day, and of every later one', () => {
    const steps = [step('2026-02-28', -30n), step('2026-03-31', -20n)];
    expect(['2026-02-27', '2026-02-28', '2026-03-31', '2026-04-01'].map((day) => freeMinorFrom(given, steps, day))).toEqual([50n, 50n, 50n, 50n]);
  });

  it('is nothing before a day on which nothing was open, though a reversal opened it again later', () => {
    const steps = [step('2026-02-28', -100n), step('2026-05-02', 100n)];
    expect(['2026-02-01', '2026-03-15', '2026-05-02'].map((day) => freeMinorFrom(given, steps, day))).toEqual([0n, 0n, 100n]);
  });

  it('goes by the ends of days: what was taken off and put back on one day was never missing', () => {
    expect(freeMinorFrom(given, [step('2026-05-02', -100n), step('2026-05-02', 100n)], '2026-05-01')).toBe(100n);
  });
});
