import { localDate } from '#domain/calendar/local-date';
import type { Cycle } from '#domain/terms/types';
import { cutsWithinPeriods } from './cycle-change';

const month: Cycle = { kind: 'month' };
const fourWeeks = (anchor: string): Cycle => ({ kind: 'four-weeks', anchor: localDate(anchor) });
const from = (day: string, cycle: Cycle) => ({ effectiveFrom: localDate(day), cycle });
const period = (startsOn: string, endsBefore: string) => ({ starts_on: localDate(startsOn), ends_before: localDate(endsBefore) });
const cuts = (versions: ReturnType<typeof from>[], periods: ReturnType<typeof period>[] = []) => cutsWithinPeriods({ versions, periods });

describe('versions of an agreement', () => {
  it('may change terms on any day while the cycle stays', () => {
    expect(cuts([from('2026-01-10', month), from('2026-03-17', month)], [period('2026-01-01', '2026-02-01'), period('2026-03-01', '2026-04-01')])).toBe(false);
  });

  it('change the cycle only where a period of both begins', () => {
    expect(cuts([from('2026-01-10', month), from('2026-04-01', fourWeeks('2026-04-01'))])).toBe(false);
    expect(cuts([from('2026-01-10', month), from('2026-04-02', fourWeeks('2026-04-02'))])).toBe(true);
    expect(cuts([from('2026-01-10', month), from('2026-04-01', fourWeeks('2026-04-02'))])).toBe(true);
    // 1 June 2026 is a Monday.
    expect(cuts([from('2026-01-10', month), from('2026-06-01', { kind: 'week', startsOnWeekday: 1 })])).toBe(false);
    expect(cuts([from('2026-01-10', month), from('2026-06-01', { kind: 'week', startsOnWeekday: 2 })])).toBe(true);
  });

  it('are looked at in the order of their days', () => {
    expect(cuts([from('2026-04-02', fourWeeks('2026-04-02')), from('2026-01-10', month)])).toBe(true);
  });

  it('keep one cycle when four-week anchors lie whole periods apart', () => {
    expect(cuts([from('2026-01-10', fourWeeks('2026-01-05')), from('2026-02-20', fourWeeks('2026-02-02'))])).toBe(false);
    expect(cuts([from('2026-01-10', fourWeeks('2026-01-05')), from('2026-02-20', fourWeeks('2026-02-09'))])).toBe(true);
  });

  it('do not cut again what was cut by another cycle', () => {
    expect(cuts([from('2026-01-01', fourWeeks('2026-01-05'))], [period('2026-01-01', '2026-02-01')])).toBe(true);
    expect(cuts([from('2026-01-10', month)], [period('2026-01-01', '2026-02-01')])).toBe(false);
  });
});
